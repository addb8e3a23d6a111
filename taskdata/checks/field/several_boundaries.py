"""A field of an older version has several boundaries.

What it checks
    That a field (PFD) of a set of version 2 or 3 has at most one polygon of the type boundary (1). From version 4 on
    several are allowed.
Why it matters
    A terminal of that time keeps one of them, usually the first. The rest of the field is outside, and sections stay
    shut there.
Example
    Bad: two <PLN A="1"> in one PFD of a set of version 3.3.
    Good: one <PLN A="1"> with one outer ring a part, or two fields.
How to fix
    Join the parts in one polygon with several outer rings, split the field, or write version 4.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.several-boundaries",
    severity=Severity.ERROR,
    message="{element} has {count} boundary polygons; version {version} allows one.",
    remedy="Join the parts in one polygon with several outer rings, split the field, or write version 4.",
    clause="D.37",
    covers=("R-082",),
    until=3,
)
BOUNDARY = 1


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field with several boundaries, at the second."""
    for element in subject.tagged("PFD"):
        found = [item for item in element.elements("PLN") if integer(item, "PolygonType") == BOUNDARY]
        if len(found) > 1:
            yield RULE.at(subject.place(found[1]), element=spoken(element), count=len(found), version=subject.major)
