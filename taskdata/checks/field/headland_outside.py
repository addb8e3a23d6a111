"""A headland or main field lies outside its field.

What it checks
    That polygons of the types main field (9) and headland (10) lie within the boundary of their field. What lies beside
    it within the allowance is allowed, as surveys differ.
Why it matters
    The machine turns, or lifts and lowers its implement, by the headland. Outside the boundary that is the neighbour's
    land, a ditch or a road.
Example
    Bad: the headland of last year's boundary, which reached 12 m further.
    Good: a headland cut off at the boundary.
How to fix
    Make the headland again from the boundary.
"""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from taskdata.checks._field_shapes import field_shapes
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.model.shapes import AreaKind

DISTANCE = Tolerance("field.headland-outside.distance", 1.0, "m", "Allowed distance from the boundary")
AREA = Tolerance("field.headland-outside.area", 10.0, "m²", "Smallest area beyond it that counts")
RULE = Rule(
    id="field.headland-outside",
    severity=Severity.WARNING,
    message="{size} m² of a {what} of {element} lies outside its boundary.",
    remedy="Make it again from the boundary.",
    clause="D.39",
    tolerances=(DISTANCE, AREA),
)
KINDS = {AreaKind.MAIN_FIELD: "main field", AreaKind.HEADLAND: "headland"}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such polygon, at a place outside."""
    for plot in field_shapes(subject).having("areas"):
        for area in plot.field.areas:
            shape = plot.measured((area,)) if area.kind in KINDS else None
            beyond = None if shape is None else plot.outside(shape, subject.profile[DISTANCE])
            if beyond is not None and shapely.area(beyond) > subject.profile[AREA]:
                place = spot(area.place, plot.place_in(beyond))
                size = round(float(shapely.area(beyond)))
                yield RULE.at(place, element=plot.field.id, size=size, what=KINDS[area.kind])
