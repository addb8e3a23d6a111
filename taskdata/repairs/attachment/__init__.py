"""Repairs of the family attachment."""
