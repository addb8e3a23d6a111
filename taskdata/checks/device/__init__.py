"""Rules on device descriptions (DVC)."""
