"""Delimited text: how a file is laid out, how its numbers and angles are written, which columns are coordinates."""
