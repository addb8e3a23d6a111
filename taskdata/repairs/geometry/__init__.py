"""Repairs of the family geometry."""
