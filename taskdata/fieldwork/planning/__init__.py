"""The next passes of a field."""
