"""Bring a set into the shape that another version of the standard, or one receiving terminal, takes."""
