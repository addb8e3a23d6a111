"""Rules on what a field (PFD) says of itself."""
