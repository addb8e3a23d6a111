"""Repairs of the family file."""
