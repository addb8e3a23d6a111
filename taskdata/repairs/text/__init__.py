"""Repairs of the family text."""
