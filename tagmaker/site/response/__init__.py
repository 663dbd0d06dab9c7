"""What came back from a response test: readings read, weighed together, and what they show."""
