"""A part of a row has no shape.

What it checks
    That every part of a row has a shape: a ring has three places that do not lie on one line, a line has two places, no
    part is empty, every coordinate is a number on Earth.
Why it matters
    The part is not in the result; the rest of the row is.
Example
    A field with a hole whose points all lie on one line, or a line of two parts of which one is empty.
How to fix
    Look at the spot. Draw the part again if it was meant to be something, or remove it.
"""

from __future__ import annotations

from taskdata.findings import Rule, Severity

RULE = Rule(
    id="import.part-left-out",
    severity=Severity.WARNING,
    message="A part of row {row} of {layer} is left out: {reason}.",
    remedy="Draw the part again if it was meant to be something, or remove it.",
    clause="OGC 06-103r4 section 6.1.11, RFC 7946 section 3.1",
)
