"""What working parts swept, log by log."""
