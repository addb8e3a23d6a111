"""Rules on the version that a set states."""
