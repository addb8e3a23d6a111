"""Rules on references from one element to another."""
