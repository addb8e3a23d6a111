"""Rules on the link list."""
