"""A ring of a polygon does not end where it began.

What it checks
    That every ring of a polygon ends where it began.
Why it matters
    The last point was joined to the first. Where a piece of the ring is missing, that is a straight line through what
    was left out.
Example
    A square given by its four corners alone.
How to fix
    Check the line between the last and the first point of the ring, and save the polygon closed.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.open-ring",
    severity=Severity.WARNING,
    message="{count} of row {row} of {layer} did not end at the first point; closed with a straight line.",
    remedy="Check the line between the last and the first point; save the polygon closed.",
    clause="RFC 7946 section 3.1.6, OGC 06-103r4 section 6.1.11",
)
