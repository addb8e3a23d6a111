"""Rules on crop types and varieties."""
