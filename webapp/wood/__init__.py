"""What books say about wood: pure functions of numbers and arrays; no time, no database."""
