"""Treatment zones reach outside the field of their task.

What it checks
    That the polygons of the zones of a task lie in the boundary of its field. Zones are often drawn over the edge, so a
    zone counts only if more than a tenth of it lies beyond a generous allowance. Both are judged.
Why it matters
    The map is of another field, or its coordinates are wrong: what it says of this field is not what was meant. Do not
    work with it until that is known.
Example
    Bad: zones that all lie 200 m north of the field.
    Good: zones cut off at the boundary, or drawn a little over it.
How to fix
    Export the map again for this field, or name the field that it is for (TSK.E).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely

from taskdata.checks._field_shapes import FieldShape, field_shape_of
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.model.tasks import Task, Zone

DISTANCE = Tolerance("zone.outside-field.distance", 30.0, "m", "Allowed distance from the boundary")
SHARE = Tolerance("zone.outside-field.share", 10.0, "%", "Allowed share of a zone beyond it")
RULE = Rule(
    id="zone.outside-field",
    severity=Severity.WARNING,
    message="{count} of the {total} zones with polygons of {task} reach outside {target}, up to {size} m away.",
    remedy="Export the map again for this field, or name the field that it is for (TSK.E).",
    clause="6.8.1.2, D.46",
    tolerances=(DISTANCE, SHARE),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such task, at the first zone, where it lies outside."""
    for task in subject.dataset.tasks:
        plot = field_shape_of(subject, task.field) if any(zone.areas for zone in task.zones) else None
        found = [] if plot is None else list(_outside(subject, plot, task))
        if plot is not None and found:
            zone, first = found[0]
            total = sum(bool(item.areas) for item in task.zones)
            size = round(max(plot.farthest(shape) for _, shape in found))
            place = spot(zone.place, plot.place_in(first))
            yield RULE.at(place, count=len(found), total=total, task=task.id, target=plot.field.id, size=size)


def _outside(subject: Subject, plot: FieldShape, task: Task) -> Iterator[tuple[Zone, Any]]:
    """Yield each zone that lies too much outside, with what lies there."""
    around = shapely.buffer(plot.ground, subject.profile[DISTANCE])
    for zone in task.zones:
        shape = plot.measured(zone.areas) if zone.areas else None
        whole = 0.0 if shape is None else float(shapely.area(shape))
        outside = None if whole == 0.0 else shapely.difference(shape, around)
        if outside is not None and 100.0 * float(shapely.area(outside)) > subject.profile[SHARE] * whole:
            yield zone, outside
