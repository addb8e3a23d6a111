"""Bytes to a document, with what is wrong in them told."""
