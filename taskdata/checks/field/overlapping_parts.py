"""Parts of one field overlap.

What it checks
    That the outer rings of the boundary of a field have no shared area except that of a hole. Narrow strips are
    allowed, as surveys differ. A ring that lies in the hole of another one is an island, which is right.
Why it matters
    The ground counts twice in the area of the field, and with it seed and spray that are ordered for it. Often one part
    is an older survey of the other.
Example
    Bad: last year's boundary and this year's, both in one field.
    Good: two parts on both sides of a lane.
How to fix
    Delete the part that is old, or cut one off at the other.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.checks._field_shapes import overlapping
from taskdata.checks._ground import spot
from taskdata.checks.field._parts import parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

WIDTH = Tolerance("field.overlapping-parts.width", 1.0, "m", "Allowed width of shared area")
AREA = Tolerance("field.overlapping-parts.area", 10.0, "m²", "Smallest shared area that counts")
RULE = Rule(
    id="field.overlapping-parts",
    severity=Severity.WARNING,
    message="Parts of {element} overlap: {size} m² lies in more than one of its {count} outer rings.",
    remedy="Delete the part that is old, or cut one off at the other.",
    clause="D.39",
    tolerances=(WIDTH, AREA),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such field, in the largest overlap."""
    for plot, shapes in parts(subject):
        least = np.full(len(shapes), subject.profile[AREA])
        narrow = subject.profile[WIDTH] / 2.0
        found = [common for _, _, common in overlapping(shapes, least)]
        wide = [common for common in found if not shapely.is_empty(shapely.buffer(common, -narrow))]
        if wide:
            whole = shapely.union_all(wide)
            place = spot(plot.field.place, plot.place_in(whole))
            size = round(float(shapely.area(whole)))
            yield RULE.at(place, element=plot.field.id, size=size, count=len(shapes))
