"""The outline of a field is kept as something else.

What it checks
    That a field without a boundary, whose area is stated, has no single polygon of another type and no single closed
    line that encloses this area to 5 %. Where several do, none of them is reported. Judged.
Why it matters
    A terminal shows no boundary: no headland, no section control at the edge, no coverage of the field.
Example
    Bad: a field of 9200 m² with no boundary and an obstacle of 9204 m².
    Good: the same ring in a polygon of type 1.
How to fix
    Look at it on a map. If it is the outline, make it the boundary; cleaning the set with review does so.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks._ground import on_earth, spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import polygon_area
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, Line

SHARE = Tolerance("field.outline-of-other-type.share", 5.0, "%", "Difference up to which areas agree")
RULE = Rule(
    id="field.outline-of-other-type",
    severity=Severity.WARNING,
    message="{element} has no boundary, but {what} in it encloses {found} m², close to the stated {stated} m².",
    remedy="Make it the boundary (polygon of type 1) if it is the outline of the field.",
    clause="D.36, D.39",
    tolerances=(SHARE,),
)
_LEAST_POINTS = 4


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such field, at what is its outline."""
    for field in subject.dataset.fields:
        stated = field.declared_area_m2
        if field.boundaries or not stated or stated < 0:
            continue
        agreeing = [
            (record, area)
            for record, area in _candidates(field)
            if abs(area - stated) <= stated * subject.profile[SHARE] / 100.0
        ]
        if len(agreeing) == 1:
            record, area = agreeing[0]
            if isinstance(record, Area):
                what, points = "a polygon of another type", record.exteriors[0]
            else:
                what, points = "a closed line", record.points
            yield RULE.at(spot(record.place, points[0]), element=field.id, what=what, found=round(area), stated=stated)


def _candidates(field: Field) -> Iterator[tuple[Area | Line, float]]:
    """Yield polygons and closed lines of a field with their areas in square metres."""
    for area in field.areas:
        rings = (*area.exteriors, *area.interiors)
        if all(_is_on_earth(ring) for ring in rings):
            yield area, polygon_area(area.exteriors, area.interiors)
    for line in field.lines:
        closed = len(line.points) >= _LEAST_POINTS and line.points[0].tolist() == line.points[-1].tolist()
        if closed and _is_on_earth(line.points):
            yield line, polygon_area([line.points], [])


def _is_on_earth(points: Points) -> bool:
    return bool(np.isfinite(points).all() and on_earth(points).all())
