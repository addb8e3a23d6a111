"""A chosen part of a set, with all that it needs and nothing of other people."""
