"""Targets are written whole or not at all: beside their place first, flushed, then exchanged for what stands there."""

from taskdata.staging.writing import regular_file, staged, write_text

__all__ = ["regular_file", "staged", "write_text"]
