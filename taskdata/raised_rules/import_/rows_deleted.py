"""Rows of the table of a shapefile are marked as deleted.

What it checks
    That no row of the table of a shapefile is marked as deleted.
Why it matters
    A program that deletes rows only marks them until the file is packed. They are not in the result, though their
    shapes are still in the file.
Example
    Ten fields of which two were deleted in a table editor.
How to fix
    Nothing where they were meant to go; otherwise remove the marks with the program that set them.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.rows-deleted",
    severity=Severity.WARNING,
    message="Rows of {layer} are marked as deleted in {file} and left out, {count} in all: {rows}.",
    remedy="Nothing to do if they were meant to go; otherwise remove the marks.",
    clause="dBASE file format, deletion mark",
)
