"""Heights of lines and polygons are left out.

What it checks
    Whether lines and polygons carry heights, which task data cannot hold, and whether those of points are in metres.
Why it matters
    The heights are not in the result; the positions are complete.
Example
    Lines from a survey with the height above sea level in each point.
How to fix
    Nothing; the positions are complete.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.heights-left-out",
    severity=Severity.NOTE,
    message="Heights of {layer} are left out: {reason}.",
    remedy="Nothing to do.",
)
