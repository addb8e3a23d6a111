"""Repairs of the family identity."""
