"""Repairs of the family coding."""
