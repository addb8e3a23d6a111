"""A ring has fewer than three different points.

What it checks
    That a ring has at least three points at different places. A polygon is an area, and two places enclose none; OGC
    06-103r4, 6.1.11, says so of polygons in general.
Why it matters
    The area is zero. A terminal may refuse the field, or show a field without a boundary.
Example
    Bad: three <PNT>, the third of which repeats the first.
    Good: at least three corners, and from version 4 on the first once more.
How to fix
    Survey the ring again, or remove it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from taskdata.checks.geometry._rings import rings
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="geometry.too-few-points",
    severity=Severity.ERROR,
    message=(
        "A ring of {element} encloses nothing: its {total} points have {count} different positions; it needs three."
    ),
    remedy="Survey the ring again, or remove it.",
    clause="D.39",
    covers=("R-169",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such ring, at its first point."""
    found = rings(subject)
    for number in np.flatnonzero(found.distinct < 3).tolist():
        ring = found[number]
        lon, lat = ring.points[0].tolist()
        place = replace(subject.place(ring.element), location=(lon, lat))
        facts: dict[str, Any] = {"total": len(ring.points), "count": int(found.distinct[number])}
        yield RULE.at(place, element=place.element or ring.element.tag, **facts)
