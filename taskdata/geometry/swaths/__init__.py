"""Polygons that a bar swept, back to where the bar was."""
