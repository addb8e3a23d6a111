"""What may be wrong in layers that are read."""
