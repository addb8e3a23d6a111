"""The treatment zones of a task leave a gap in the field.

What it checks
    That the polygons of the zones for one product cover the field of the task, where the task names no default zone
    (TSK.H), which would hold in the gaps. Water, buildings, roads, obstacles, windbreaks and buffer zones need no rate.
Why it matters
    Nobody has said what to apply there: one terminal keeps the last rate, another stops. It may be meant, as in work on
    single spots; then a default zone with the rate 0 says so.
Example
    Bad: two zones with a strip of 6 m between them, and no default zone.
    Good: zones that meet, or a default zone.
How to fix
    Close the gap, or name a default zone.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely

from taskdata.checks._field_shapes import FieldShape, field_shape_of
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.checks.zone._layers import has_default, layers
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.model.shapes import AreaKind

WIDTH = Tolerance("zone.gap.width", 1.0, "m", "Allowed width of a gap")
AREA = Tolerance("zone.gap.area", 100.0, "m²", "Smallest area of gaps that counts")
RULE = Rule(
    id="zone.gap",
    severity=Severity.NOTE,
    message="The treatment zones of {task} leave {size} m² of {target} without a rate, and there is no default zone.",
    remedy="Close the gap, or name a default zone (TSK.H).",
    clause="6.8.1.2, D.46",
    tolerances=(WIDTH, AREA),
)
UNTREATED = {
    *(AreaKind.WATER, AreaKind.BUILDING, AreaKind.ROAD, AreaKind.OBSTACLE),
    *(AreaKind.BUFFER_ZONE, AreaKind.WINDBREAK),
}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each layer with gaps, in the largest."""
    for layer in layers(subject):
        plot = field_shape_of(subject, layer.task.field)
        if plot is None or has_default(layer.task):
            continue
        covered = shapely.union_all([sheet.shape for sheet in layer.sheets])
        gap = shapely.difference(_treated(plot), shapely.buffer(covered, subject.profile[WIDTH] / 2.0))
        size = float(shapely.area(gap))
        if size > subject.profile[AREA]:
            place = spot(layer.task.place, plot.place_in(gap))
            yield RULE.at(place, task=layer.task.id, size=round(size), target=plot.field.id)


def _treated(plot: FieldShape) -> Any:
    """Return the ground of a field without what is not treated."""
    found = (plot.measured((area,)) for area in plot.field.areas if area.kind in UNTREATED)
    spared = [shape for shape in found if shape is not None]
    return shapely.difference(plot.ground, shapely.union_all(spared)) if spared else plot.ground
