"""Longitudes lie beyond 180 degrees.

What it checks
    That longitudes lie between -180 and 180 degrees.
Why it matters
    They were moved by 360 degrees: 180.01 is the same place as -179.99. Other programs may refuse them, or take them
    for a fault.
Example
    A field across the antimeridian whose eastern corners are at 180.01 degrees.
How to fix
    Nothing if the position is right; otherwise correct the coordinates.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.beyond-180",
    severity=Severity.WARNING,
    message="Row {row} of {layer} has longitudes beyond 180 degrees, such as {value}; they were moved by 360 degrees.",
    remedy="Check that the position is right, or correct the coordinates.",
    clause="RFC 7946 sections 3.1.9 and 4",
)
