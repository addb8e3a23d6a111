"""A row of a layer has no geometry.

What it checks
    That every row of a layer has a geometry.
Why it matters
    A row without one cannot become a field, a line or a point.
Example
    A table of ten fields in which one was added to the table but never drawn.
How to fix
    Draw the geometry, or remove the row.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.no-geometry",
    severity=Severity.WARNING,
    message="Row {row} of {layer} has no geometry and is left out.",
    remedy="Draw it, or remove the row.",
)
