"""Repairs of the family task."""
