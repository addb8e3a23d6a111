"""A polygon of a layer crosses or touches itself.

What it checks
    That no polygon of a layer crosses or touches itself, and its holes lie inside and apart. GEOS decides, according to
    OGC 06-103r4; edges are straight in longitude and latitude.
Why it matters
    What lies inside such a polygon is a matter of the program: area, amount and the place where sections shut differ
    from one to the next. The shape was taken over as it is.
Example
    Corners in the order south-west, north-east, south-east, north-west.
How to fix
    Draw the polygon again at the place given. A loop often stems from a turn or a drift of position in the survey.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.self-crossing",
    severity=Severity.WARNING,
    message="The polygon of row {row} of {layer} {what}; it is taken over as it is.",
    remedy="Draw it again at this point; until then its area and interior are uncertain.",
    clause="OGC 06-103r4",
)
