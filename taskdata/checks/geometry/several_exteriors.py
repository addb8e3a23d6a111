"""A polygon has several outer rings.

What it checks
    That a polygon (PLN) of a set of version 4 has at most one outer ring (LSG of type 1). Before version 4 several
    were allowed.
Why it matters
    A terminal keeps one of them, usually the first. The rest of the field is outside, and sections stay shut there.
Example
    Bad: <PLN A="1"> with two <LSG A="1"> in a set of version 4.3.
    Good: two <PLN A="1"> with one outer ring each.
How to fix
    Make each outer ring a separate polygon, with the inner rings that lie in it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.to_model.shapes import RingKind

RULE = Rule(
    id="geometry.several-exteriors",
    severity=Severity.ERROR,
    message="A polygon of {element} has {count} outer rings; version 4 allows one.",
    remedy="Make each outer ring a separate polygon, with the inner rings that lie in it.",
    clause="D.39",
    covers=("R-170",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each polygon with several outer rings, at the second."""
    for element in subject.tagged("PLN"):
        outer = [item for item in element.elements("LSG") if integer(item, "LineStringType") == RingKind.EXTERIOR]
        if len(outer) > 1:
            place = subject.place(outer[1])
            yield RULE.at(place, element=place.element or element.tag, count=len(outer))
