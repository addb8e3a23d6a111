"""Records into words: text, JSON, tables."""
