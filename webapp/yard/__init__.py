"""What people do with the yard: one verb a file, the session passed in, no commit."""
