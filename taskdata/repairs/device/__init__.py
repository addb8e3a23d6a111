"""Repairs of the family device."""
