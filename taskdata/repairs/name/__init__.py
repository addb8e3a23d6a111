"""Repairs of the family name."""
