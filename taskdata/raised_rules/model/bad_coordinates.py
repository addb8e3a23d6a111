"""A point of a line or ring has no readable position.

What it checks
    That latitude and longitude of every point of a line or ring are numbers.
Why it matters
    The shape is drawn and measured without these points, so its area and course may be wrong there.
Example
    A point whose latitude reads 54.30O1, with a letter for a nought.
How to fix
    Correct or delete the points.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="model.bad-coordinates",
    severity=Severity.ERROR,
    message="Points of {element} ({tag}) without a readable position were left out: {count} of {total}.",
    remedy="Correct these points; the line or ring now goes straight past them.",
    clause="D.38",
    covers=("R-177",),
)
