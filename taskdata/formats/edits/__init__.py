"""Edited layers back into the data set that they were written from."""
