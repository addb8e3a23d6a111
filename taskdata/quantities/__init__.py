"""Quantities of the data dictionary and their units."""
