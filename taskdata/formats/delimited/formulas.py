"""Cells that a spreadsheet would compute: text that begins like a formula stands behind an apostrophe.

A name such as ``=HYPERLINK(...)`` comes from somebody else's machine, and a spreadsheet that opens the file would run
it. An apostrophe before it says that a cell is text (common practice). One more is put before text that has apostrophes
and a formula already, so that taking one away gives back what was written.
"""

from __future__ import annotations

import pyarrow as pa
import pyarrow.compute as pc

_STARTS = "[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]"
"""Of the last four, which are as wide as East Asian letters, some spreadsheets make the first four."""


def guarded(texts: pa.ChunkedArray) -> pa.ChunkedArray:
    """Return a column of text with an apostrophe before each cell that a spreadsheet would compute."""
    return pc.replace_substring_regex(texts, f"^('*{_STARTS})", r"'\1")


def unguarded(texts: pa.Array) -> pa.Array:
    """Return a column of text without these apostrophes."""
    return pc.replace_substring_regex(texts, f"^'('*{_STARTS})", r"\1")
