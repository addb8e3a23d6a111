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

from taskdata.checks._courses import Course, Courses, rings, rings_of
from taskdata.checks._ground import Ruler
from taskdata.checks.subject import Subject
from taskdata.model.fields import Field
from taskdata.model.shapes import Area

_POLAR = 89.0
"""Beyond this latitude longitudes are of no use; such shapes are not looked at."""


@dataclass(frozen=True, eq=False)
class Plot:
    """A field whose boundary is valid.

    ``shape`` is in degrees with continuous longitudes and ``extent`` its west, south, east and north; ``ground`` is the
    same in metres of ``ruler``; ``area`` is in square metres.
    """

    field: Field
    shape: Any
    extent: tuple[float, float, float, float]
    area: float

    @cached_property
    def ruler(self) -> Ruler:
        """Metres from the middle of the extent."""
        west, south, east, north = self.extent
        return Ruler((west + east) / 2.0, (south + north) / 2.0)

    @cached_property
    def ground(self) -> Any:
        """The shape in metres."""
        return self.ruler.shape(self.shape)

    def measured(self, areas: Iterable[Area]) -> Any:
        """Return polygons as one shape in metres, None where one of them is not valid or there is none."""
        found = shape_of(areas)
        return None if found is None else self.ruler.shape(found)

    def outside(self, shape: Any, beyond: float) -> Any:
        """Return what of a shape in metres lies farther than ``beyond`` metres outside the field."""
        return shapely.difference(shape, shapely.buffer(self.ground, beyond))

    def is_near(self, lon: float, lat: float, distance: float) -> bool:
        """Tell whether a place lies in the extent of the field or within about some metres of it."""
        west, south, east, north = self.extent
        x, y = distance / self.ruler.scale
        turn = abs((lon - (west + east) / 2.0 + 180.0) % 360.0 - 180.0)
        return bool(turn <= (east - west) / 2.0 + x and south - y <= lat <= north + y)


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
    found = Courses(tuple(ring for area in areas for ring in rings_of("", area)))
    return _composed(found.found, found.shapes) if found.found and (found.is_valid & _is_low(found)).all() else None


def overlapping(shapes: NDArray[Any], least: NDArray[np.float64]) -> Iterator[tuple[int, int, Any]]:
    """Yield the pairs of shapes, the lower index first, with the ground in common where it is more than ``least`` (n,).

    The unit of the area is the square of that of the shapes, and ``least`` of the first of two counts.
    """
    first, second = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    ahead = first < second
    order = np.lexsort((second[ahead], first[ahead]))
    first, second = first[ahead][order], second[ahead][order]
    common = shapely.intersection(shapes[first], shapes[second])
    much = np.flatnonzero(shapely.area(common) > least[first])
    yield from zip(first[much].tolist(), second[much].tolist(), common[much], strict=True)


def _all(subject: Subject) -> Iterator[Plot]:
    whole = rings(subject)
    extents = shapely.bounds(whole.shapes).tolist()
    sound = (whole.is_valid & _is_low(whole)).tolist()
    sizes = whole.areas.tolist()
    for field in subject.dataset.fields:
        numbers = [number for area in field.boundaries for number in whole.of_area.get(id(area), ())]
        if not numbers or not all(sound[number] for number in numbers):
            continue
        if len(numbers) == 1:
            only = numbers[0]
            yield Plot(field, whole.shapes[only], tuple(extents[only]), sizes[only])
            continue
        shape = _composed([whole.found[number] for number in numbers], whole.shapes[numbers])
        if not shapely.is_empty(shape):
            west, south, east, north = shapely.bounds(shape).tolist()
            plot = Plot(field, shape, (west, south, east, north), 0.0)
            yield Plot(field, shape, plot.extent, float(shapely.area(plot.ground)))


def _composed(found: Iterable[Course], shapes: NDArray[Any]) -> Any:
    """Return outer rings less inner rings as one shape."""
    holes = np.array([ring.is_hole for ring in found], dtype=np.bool_)
    if holes.all():
        return shapely.Polygon()
    first = shapes[~holes][0]
    outer, inner = ([_beside(first, shape) for shape in shapes[chosen]] for chosen in (~holes, holes))
    whole = shapely.union_all(outer) if len(outer) > 1 else outer[0]
    return shapely.difference(whole, shapely.union_all(inner)) if inner else whole


def _is_low(found: Courses) -> NDArray[np.bool_]:
    """Tell which rings stay away from the poles."""
    polar = np.abs(found.flat[:, 1]) > _POLAR
    return np.asarray(np.bincount(found.home[polar], minlength=len(found.found)) == 0)


def _beside(first: Any, other: Any) -> Any:
    """Return a shape in the same turn of longitudes as the first one."""
    turns = float(np.rint((shapely.bounds(first)[0] - shapely.bounds(other)[0]) / 360.0))
    return shapely.transform(other, lambda points: points + np.array([360.0 * turns, 0.0])) if turns else other
