"""Formats in XML, read event by event so that a large file never lies in memory whole."""
