"""Repairs of the family schema."""
