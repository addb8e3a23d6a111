"""Rules on external files."""
