"""Which fields have ground in common."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from taskdata.checks._field_shapes import FieldShape, field_shapes, overlapping
from taskdata.checks._ground import inside_point
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.geometry.areas import on_map
from taskdata.geometry.metres import degree_metres
from taskdata.geometry.nearest import in_metres
from taskdata.model.fields import Field

SAME_SHARE = 95.0
"""Percent of the ground of both together from which on two fields are one (judged)."""
LEAST_M2 = 1.0
"""Less than that in common is rounding."""


@dataclass(frozen=True, eq=False)
class Common:
    """Two fields, the earlier one in the source as ``first``, with the ground they have in common in degrees."""

    first: FieldShape
    second: FieldShape
    shape: Any

    @cached_property
    def area(self) -> float:
        """Square metres in common."""
        return float(shapely.area(self.ground))

    @cached_property
    def ground(self) -> Any:
        """What they have in common in metres."""
        return in_metres(self.shape, self.first.plane)

    @property
    def share(self) -> float:
        """Percent of the smaller field."""
        return 100.0 * self.area / max(min(self.first.area, self.second.area), 1e-9)

    @property
    def is_same(self) -> bool:
        """Whether both are one piece of ground."""
        return 100.0 * self.area >= SAME_SHARE * (self.first.area + self.second.area - self.area)

    @property
    def width(self) -> float:
        """Mean width in metres."""
        return 2.0 * self.area / max(float(shapely.length(self.ground)), 1e-9)

    @cached_property
    def location(self) -> tuple[float, float]:
        """Longitude and latitude of a place in both."""
        lon, lat = inside_point(self.shape).tolist()
        return (lon + 180.0) % 360.0 - 180.0, lat


@once
def common(subject: Subject) -> tuple[Common, ...]:
    """Return each pair of fields with ground in common, none of which is part of the other; made once for a set."""
    return tuple(_all(subject))


def related(subject: Subject, first: Field, second: Field) -> bool:
    """Tell whether one field is a part of the other, or a part of a part of it, or bears its identifier."""
    return first.id == second.id or first.id in _above(subject, second) or second.id in _above(subject, first)


def _all(subject: Subject) -> Iterator[Common]:
    found = field_shapes(subject)
    if len(found) < 2:
        return
    shapes = np.empty(len(found), dtype=object)
    shapes[:] = [_on_map(plot) for plot in found]
    middles = np.array([(plot.extent[1] + plot.extent[3]) / 2.0 for plot in found])
    least = LEAST_M2 / np.prod(degree_metres(middles), axis=0)
    for one, other, shape in overlapping(shapes, least):
        if not related(subject, found[one].field, found[other].field):
            yield Common(found[one], found[other], shape)


def _on_map(plot: FieldShape) -> Any:
    """Return the shape of a field in degrees from -180 to 180, cut at the antimeridian where it crosses it."""
    west, _, east, _ = plot.extent
    return plot.shape if west >= -180.0 and east <= 180.0 else on_map(plot.field.boundaries).shape


@once
def _parents(subject: Subject) -> dict[str, str]:
    """Return of each field that is a part which one it is a part of."""
    return {item.id: item.parent for item in subject.dataset.fields if item.parent is not None}


def _above(subject: Subject, field: Field) -> set[str]:
    above: set[str] = set()
    parent = field.parent
    while parent is not None and parent not in above:
        above.add(parent)
        parent = _parents(subject).get(parent)
    return above
