"""Frozen records in the words of the trade: the meaning of a file set, whatever its format."""
