"""A shapefile has more shapes than rows in its table, or fewer.

What it checks
    That a shapefile has as many shapes as its table has rows.
Why it matters
    Only their order ties them together. What is beyond the shorter of the two is not in the result, and where something
    is missing in the middle, names belong to the wrong shapes.
Example
    A table of last year beside the shapes of this year.
How to fix
    Copy all files of the shapefile again, together.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.rows-unequal",
    severity=Severity.ERROR,
    message="{layer} has {count} shapes and {file} {total} rows; what has no counterpart is left out.",
    remedy="Copy all files of the shapefile again, together; check that each name belongs to its shape.",
    clause="ESRI Shapefile Technical Description, dBASE File",
)
