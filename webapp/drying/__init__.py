"""What we conclude from readings over time: pure numbers in, pure numbers out."""
