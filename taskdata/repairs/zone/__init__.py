"""Repairs of the family zone."""
