"""Delimited text into tables, piece by piece."""
