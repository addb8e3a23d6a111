"""The ground of each field as a shape, with a ruler of its own; and shapes of other polygons for the same ruler."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._ground import Ruler, on_earth
from taskdata.checks.subject import Subject
from taskdata.geometry.arrays import Points
from taskdata.geometry.rings import unwrap
from taskdata.model.fields import Field
from taskdata.model.shapes import Area

_POLAR = 89.0
"""Beyond this latitude longitudes are of no use; such shapes are not looked at."""


@dataclass(frozen=True, eq=False)
class Plot:
    """A field whose boundary is valid.

    ``shape`` is in degrees with continuous longitudes; ``ground`` is the same in metres of ``ruler``.
    """

    field: Field
    shape: Any
    ruler: Ruler

    @cached_property
    def ground(self) -> Any:
        """The shape in metres."""
        return self.ruler.shape(self.shape)

    @cached_property
    def area(self) -> float:
        """Square metres."""
        return float(shapely.area(self.ground))

    def measured(self, areas: Iterable[Area]) -> Any:
        """Return polygons as one shape in metres, None where one of them is not valid or there is none."""
        found = shape_of(areas)
        return None if found is None else self.ruler.shape(found)

    def outside(self, shape: Any, beyond: float) -> Any:
        """Return what of a shape in metres lies farther than ``beyond`` metres outside the field."""
        return shapely.difference(shape, shapely.buffer(self.ground, beyond))


_FOUND: WeakKeyDictionary[Subject, tuple[Plot, ...]] = WeakKeyDictionary()
_BY_ID: WeakKeyDictionary[Subject, dict[str, Plot]] = WeakKeyDictionary()


def plots(subject: Subject) -> tuple[Plot, ...]:
    """Return the fields whose boundary is valid, in the order of the source; made once for a set."""
    if subject not in _FOUND:
        _FOUND[subject] = tuple(_all(subject))
    return _FOUND[subject]


def plot_of(subject: Subject, name: str | None) -> Plot | None:
    """Return the field with that identifier, None where there is none or its boundary is not valid."""
    if subject not in _BY_ID:
        _BY_ID[subject] = {plot.field.id: plot for plot in reversed(plots(subject))}
    return None if name is None else _BY_ID[subject].get(name)


def shape_of(areas: Iterable[Area]) -> Any:
    """Return polygons as one shape in degrees, None where one of them is not valid or there is none."""
    rings = list(areas)
    outer = [_ring(ring) for area in rings for ring in area.exteriors]
    inner = [_ring(ring) for area in rings for ring in area.interiors]
    if not outer or any(ring is None for ring in (*outer, *inner)):
        return None
    outer = [outer[0], *(_beside(outer[0], ring) for ring in outer[1:])]
    whole = shapely.union_all(outer) if len(outer) > 1 else outer[0]
    if not inner:
        return whole
    inner = [_beside(outer[0], ring) for ring in inner]
    return shapely.difference(whole, shapely.union_all(inner))


def overlaps(shapes: NDArray[Any]) -> Iterator[tuple[int, int]]:
    """Yield the pairs of shapes, the lower index first, that have some ground in common."""
    first, second = shapely.STRtree(shapes).query(shapes)
    ahead = first < second
    first, second = first[ahead], second[ahead]
    common = shapely.relate_pattern(shapes[first], shapes[second], "T********")
    yield from sorted(zip(first[common].tolist(), second[common].tolist(), strict=True))


def _all(subject: Subject) -> Iterator[Plot]:
    for field in subject.dataset.fields:
        shape = shape_of(field.boundaries)
        if shape is not None and not shapely.is_empty(shape):
            west, south, east, north = shapely.bounds(shape).tolist()
            yield Plot(field, shape, Ruler((west + east) / 2.0, (south + north) / 2.0))


def _ring(points: Points) -> Any:
    """Return a ring as a valid polygon in degrees, else None."""
    enough = len(points) > 3 or (len(points) == 3 and bool((points[0] != points[-1]).any()))
    if not enough or not on_earth(points).all() or float(np.abs(points[:, 1]).max()) > _POLAR:
        return None
    ring = points if float(np.ptp(points[:, 0])) <= 180.0 else unwrap(points)
    shape = shapely.Polygon(ring)
    return shape if shapely.is_valid(shape) else None


def _beside(first: Any, other: Any) -> Any:
    """Return a shape in the same turn of longitudes as the first one."""
    turns = float(np.rint((shapely.bounds(first)[0] - shapely.bounds(other)[0]) / 360.0))
    return shapely.transform(other, lambda points: points + np.array([360.0 * turns, 0.0])) if turns else other
