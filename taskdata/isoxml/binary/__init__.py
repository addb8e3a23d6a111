"""Grids and points in binary files."""
