"""Repairs of the family linklist."""
