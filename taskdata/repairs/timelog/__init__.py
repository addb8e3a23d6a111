"""Repairs of the family timelog."""
