"""Coordinates are written as texts.

What it checks
    That coordinates are numbers.
Why it matters
    They were texts, such as "9.25", and read as the numbers that they spell. Other programs may refuse them.
Example
    "coordinates": ["9.25", "52.1"]
How to fix
    Save the file with numbers; converting it does so.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.text-coordinate",
    severity=Severity.WARNING,
    message="Coordinates of row {row} of {layer} are texts; they were read as numbers.",
    remedy="Save the file with numbers; converting it does so.",
    clause="RFC 7946 section 3.1.1",
)
