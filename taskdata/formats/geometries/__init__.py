"""Geometry in columns: decoded, looked at, and made of records."""
