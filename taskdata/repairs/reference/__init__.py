"""Repairs of the family reference."""
