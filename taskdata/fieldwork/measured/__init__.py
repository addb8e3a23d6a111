"""Yields and other measured quantities: records cleaned by stated rules, and maps of what is left."""
