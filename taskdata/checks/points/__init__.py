"""Rules on binary point files (PNT)."""
