"""A flag has no comment.

What it checks
    That flags, which are points (PNT) of type 1, lines (LSG) of type 8 and polygons (PLN) of type 7 of a field, have a
    designator. It is the comment to be shown at that place.
Why it matters
    The driver sees that there is something, but not what: a stone, a hole, a wet place.
Example
    Bad: <PNT A="1" C="54.3" D="7.0"/>
    Good: <PNT A="1" B="Stein" C="54.3" D="7.0"/>
How to fix
    Write into the designator what the driver has to know there.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.shapes import AreaKind, LineKind, PointKind

RULE = Rule(
    id="geometry.flag-without-comment",
    severity=Severity.NOTE,
    message="A flag of {element} has no designator to show.",
    remedy="Write into the designator what the driver has to know there.",
    clause="D.33, D.38, D.39",
    covers=("R-180",),
)
FLAGS = (
    ("PNT", "PointType", PointKind.FLAG, "PointDesignator"),
    ("LSG", "LineStringType", LineKind.FLAG, "LineStringDesignator"),
    ("PLN", "PolygonType", AreaKind.FLAG, "PolygonDesignator"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each flag of a field without a designator."""
    for tag, kind, flag, designator in FLAGS:
        for element in subject.tagged(tag):
            if element.parent is None or element.parent.tag != "PFD" or integer(element, kind) != flag:
                continue
            if element.get(designator) is None:
                place = subject.place(element)
                yield RULE.at(place, element=place.element or tag)
