"""Targets are written whole or not at all: beside their place first, flushed, then exchanged for what stands there."""

from taskdata.staging.writing import NOTHING, Foreign, regular_file, staged, write_text

__all__ = ["NOTHING", "Foreign", "regular_file", "staged", "write_text"]
