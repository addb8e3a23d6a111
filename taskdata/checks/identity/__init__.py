"""Rules on identifiers."""
