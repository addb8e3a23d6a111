"""Nothing says what the heights of points refer to.

What it checks
    That it is known what the heights of points refer to.
Why it matters
    They were kept as they are, in metres above the ellipsoid of WGS 84. Heights above sea level differ from those by up
    to 100 m, in Central Europe by about 45 m.
Example
    A layer of gates and wells with the height above sea level in each point.
How to fix
    Nothing if heights do not matter; otherwise convert them to ellipsoidal heights first.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.heights-taken",
    severity=Severity.NOTE,
    message="The heights of points of {layer} are kept as metres above the ellipsoid of WGS 84, though {reason}.",
    remedy="Nothing to do if heights do not matter; otherwise convert them to ellipsoidal heights first.",
)
