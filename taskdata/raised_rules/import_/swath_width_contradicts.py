"""A stated working width contradicts the polygons of coverage.

What it checks
    That the width in a column, in most rows, is that of the polygons within a twentieth.
Why it matters
    The polygons decide, so that ground is counted as it was drawn. Where the column is right, worked area and overlap
    are wrong.
Example
    A column that says 12 in a layer whose polygons are 11.6 m wide.
How to fix
    Find out which is right: the setting of the display or the width that it drew.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.swath-width-contradicts",
    severity=Severity.WARNING,
    message="The rows of {layer} state a width of {stated}; their polygons, which decide, are {width} wide.",
    remedy="Find out which is right: the setting of the display, or the width that it drew.",
)
