"""Rules on the names that people read."""
