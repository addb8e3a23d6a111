"""Repairs of the family field."""
