"""A document to files."""
