"""Two treatment zones with different rates overlap.

What it checks
    That polygons of zones of one task that set one quantity of one product to different values have no shared area,
    beyond the allowance.
Why it matters
    Two rates hold there. Which of them is applied depends on the terminal.
Example
    Bad: a zone of 150 l/ha drawn on top of one of 240 l/ha that has no hole there.
    Good: the zone of 240 l/ha with a hole, or zones that meet.
How to fix
    Cut one zone out of the other.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.checks._field_shapes import overlapping
from taskdata.checks._ground import spot
from taskdata.checks.subject import Subject
from taskdata.checks.zone._layers import Layer, layers
from taskdata.findings import Finding, Rule, Severity, Tolerance

WIDTH = Tolerance("zone.overlap.width", 1.0, "m", "Allowed width of an overlap")
AREA = Tolerance("zone.overlap.area", 25.0, "m²", "Smallest shared area that counts")
RULE = Rule(
    id="zone.overlap",
    severity=Severity.WARNING,
    message="The treatment zones {other} and {code} of {task} set different rates for the same {size} m².",
    remedy="Cut one zone out of the other.",
    clause="6.8.1.2",
    tolerances=(WIDTH, AREA),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each two such zones, at the later one."""
    for layer in layers(subject):
        yield from _overlapping(layer, subject.profile[WIDTH] / 2.0, subject.profile[AREA])


def _overlapping(layer: Layer, narrow: float, least: float) -> Iterator[Finding]:
    shapes = np.empty(len(layer.sheets), dtype=object)
    shapes[:] = [sheet.shape for sheet in layer.sheets]
    for one, other, common in overlapping(shapes, np.full(len(shapes), least)):
        first, second = layer.sheets[one], layer.sheets[other]
        size = float(shapely.area(common))
        if first.value != second.value and not shapely.is_empty(shapely.buffer(common, -narrow)):
            place = spot(second.zone.place, layer.place_in(common))
            yield RULE.at(place, other=first.zone.code, code=second.zone.code, task=layer.task.id, size=round(size))
