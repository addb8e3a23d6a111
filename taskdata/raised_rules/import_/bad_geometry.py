"""The geometry of a row cannot be used.

What it checks
    That the geometry of every row can be read: rings have at least four points and end where they begin, lines have two
    points, coordinates are numbers on Earth.
Why it matters
    Such a geometry has no certain shape; taking a guess could move a boundary.
Example
    A polygon whose ring has two points.
How to fix
    Repair the geometry in a GIS, then convert again.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.bad-geometry",
    severity=Severity.WARNING,
    message="The geometry of row {row} of {layer} cannot be used: {reason}. It is left out.",
    remedy="Repair the geometry in a GIS.",
)
