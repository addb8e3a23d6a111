"""A ring is so thin that it is no area.

What it checks
    That the rings of boundaries, main fields, headlands and treatment zones, holes included, are wider than a sliver.
    The mean width of a ring is twice its area divided by its length. Rings that cross or touch themselves are reported
    by geometry.self-crossing.
Why it matters
    Slivers are left over when polygons are cut or joined. They count as fields, holes or zones of their own, are too
    thin to be seen on the screen, and make sections or rates switch along a whole edge.
Example
    Bad: a hole 200 m long and 0.2 m wide, where two outlines of one field did not fit together.
    Good: one outline.
How to fix
    Delete the ring, or join it with its neighbour.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from taskdata.checks._course_sets import BROADLY, rings
from taskdata.checks._courses import Courses
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.model.shapes import Area, AreaKind

WIDTH = Tolerance("geometry.sliver.width", 1.0, "m", "Mean width from which a ring is not a sliver")
LENGTH = Tolerance("geometry.sliver.length", 10.0, "m", "Length from which a ring is a sliver, end to end")
RULE = Rule(
    id="geometry.sliver",
    severity=Severity.WARNING,
    message="A ring of {element} is {length} m long and {size} m wide on average.",
    remedy="Delete the ring, or join it with its neighbour.",
    tolerances=(WIDTH, LENGTH),
)
KINDS = {AreaKind.BOUNDARY, AreaKind.MAIN_FIELD, AreaKind.HEADLAND, AreaKind.TREATMENT_ZONE}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each sliver, at its first point."""
    whole, width, length = rings(subject), subject.profile[WIDTH], subject.profile[LENGTH]
    facts = whole.facts
    thin = 2.0 * (facts.areas - facts.area_errors) < BROADLY * width * facts.around
    for _, some in whole.suspects(thin & (BROADLY * facts.around / 2.0 >= length)):
        yield from _slivers(some, width, length)


def _slivers(some: Courses, width: float, length: float) -> Iterator[Finding]:
    around = some.each(some.lengths)
    with np.errstate(divide="ignore", invalid="ignore"):
        widths = 2.0 * some.areas / around
    thin = (widths < width) & (around / 2.0 >= length) & some.is_valid
    for index in np.flatnonzero(thin).tolist():
        ring = some.found[index]
        if isinstance(ring.record, Area) and ring.record.kind in KINDS:
            facts: dict[str, Any] = {
                "length": round(float(around[index]) / 2.0),
                "size": round(float(widths[index]), 2),
            }
            yield RULE.at(spot(ring.place, ring.points[0]), element=ring.element, **facts)
