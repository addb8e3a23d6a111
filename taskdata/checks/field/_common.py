"""Which fields have ground in common."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._boxes import Boxes
from taskdata.checks._field_shapes import FieldShape, field_shapes
from taskdata.checks._ground import inside_point
from taskdata.checks._once import once
from taskdata.checks.field._groups import groups, map_shapes, related
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, distinct
from taskdata.geometry.metres import degree_metres
from taskdata.geometry.nearest import in_metres

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
    """Return each pair of fields with ground in common, none of which is part of the other; made once for a set.

    Of fields on the same ground the first stands for all.
    """
    return tuple(_all(subject))


def _all(subject: Subject) -> Iterator[Common]:
    found, shapes = field_shapes(subject), map_shapes(subject)
    firsts = groups(subject).firsts
    extents = shapes.extents[firsts]
    least = LEAST_M2 / np.prod(degree_metres(extents[:, [1, 3]].mean(axis=1)), axis=0)
    for ones, others in Boxes(extents).pairs():
        numbers = distinct(np.concatenate([ones, others]))
        made = shapes.of(firsts[numbers].tolist())
        one, other = (made[np.searchsorted(numbers, each)] for each in (ones, others))
        for at, shape in _in_common(one, other, least[ones]):
            first, second = found[int(firsts[ones[at]])], found[int(firsts[others[at]])]
            if not related(subject, first.field, second.field):
                yield Common(first, second, shape)


def _in_common(one: NDArray[Any], other: NDArray[Any], least: Floats) -> Iterator[tuple[int, Any]]:
    """Yield which of n pairs of shapes have more than ``least`` (n,) in common, and what."""
    shapely.prepare(one)
    meeting = np.flatnonzero(shapely.intersects(one, other))
    common = shapely.intersection(one[meeting], other[meeting])
    much = shapely.area(common) > least[meeting]
    yield from zip(meeting[much].tolist(), common[much], strict=True)
