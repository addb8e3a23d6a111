"""Repairs of the family stamp."""
