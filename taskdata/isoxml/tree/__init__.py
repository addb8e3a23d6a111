"""A set as a lossless document: elements, points as exact columns, and every other file."""
