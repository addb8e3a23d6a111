"""The ground of each field as a shape, in a plane of its own; and shapes of other polygons in the same plane."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._courses import Courses, rings, rings_of
from taskdata.checks._ground import inside_point
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.areas import in_degrees
from taskdata.geometry.arrays import Points, distinct
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.loops import polygons_of
from taskdata.geometry.metres import POLAR, degree_metres
from taskdata.geometry.nearest import in_metres, line_of
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import winding
from taskdata.model.fields import Field
from taskdata.model.shapes import Area

WIDEST_DEG = 60.0
"""Degrees of longitude from which a ring is no field, and too wide for a plane."""


@dataclass(frozen=True, eq=False)
class FieldShape:
    """A field whose boundary is valid.

    ``shape`` is in degrees with continuous longitudes and ``extent`` its west, south, east and north; ``ground`` is the
    same in metres of ``plane``; ``size`` is its square metres where they are known already.
    """

    field: Field
    shape: Any
    extent: tuple[float, float, float, float]
    size: float | None = None

    @cached_property
    def area(self) -> float:
        """Square metres, holes out."""
        if self.size is not None:
            return self.size
        return math.fsum(polygon_area([outer], holes) for outer, holes in polygons_of(self.shape))

    @cached_property
    def plane(self) -> LocalPlane:
        """Metres from the middle of the extent."""
        return plane_about(self.extent)

    @cached_property
    def ground(self) -> Any:
        """The shape in metres."""
        return in_metres(self.shape, self.plane)

    def measured(self, areas: Iterable[Area]) -> Any:
        """Return polygons as one shape in metres, None where one of them is not valid or there is none."""
        found = shape_of(areas)
        return None if found is None else in_metres(found, self.plane)

    def distance(self, points: Points) -> float:
        """Return the metres from the field to a line of (n, 2) degrees or a single place, 0 where they meet."""
        return float(shapely.distance(self.ground, in_metres(line_of(points), self.plane)))

    def farthest(self, shape: Any) -> float:
        """Return how far the farthest corner of a shape in metres lies from the field."""
        return float(shapely.distance(self.ground, shapely.points(shapely.get_coordinates(shape))).max())

    def place_in(self, shape: Any) -> tuple[float, float]:
        """Return longitude and latitude of a place in the largest part of a shape in metres."""
        lon, lat = self.plane.inverse(inside_point(shape))[0].tolist()
        return lon, lat

    def outside(self, shape: Any, beyond: float) -> Any:
        """Return what of a shape in metres lies farther than ``beyond`` metres outside the field."""
        return shapely.difference(shape, shapely.buffer(self.ground, beyond))

    def is_near(self, points: Points, distance: float) -> NDArray[np.bool_]:
        """Tell which of (n, 2) places lie in the extent of the field or within about some metres of it."""
        west, south, east, north = self.extent
        turn = np.abs((points[:, 0] - (west + east) / 2.0 + 180.0) % 360.0 - 180.0)
        high = min(max(abs(south), abs(north)) + distance / degree_metres(0.0)[1], 90.0)
        x, y = (distance / metres for metres in degree_metres(np.array([high, 0.0])))
        wide = (east - west) / 2.0 + (x[0] if high < POLAR else 180.0)
        return np.asarray((turn <= wide) & (points[:, 1] >= south - y[1]) & (points[:, 1] <= north + y[1]))


@once
def field_shapes(subject: Subject) -> tuple[FieldShape, ...]:
    """Return the fields whose boundary is valid, in the order of the source; made once for a set."""
    return tuple(_all(subject))


@once
def _by_id(subject: Subject) -> dict[str, FieldShape]:
    """Return the first field of each identifier whose boundary is valid."""
    return {plot.field.id: plot for plot in reversed(field_shapes(subject))}


def field_shape_of(subject: Subject, name: str | None) -> FieldShape | None:
    """Return the field with that identifier, None where there is none or its boundary is not valid."""
    return None if name is None else _by_id(subject).get(name)


def shape_of(areas: Iterable[Area]) -> Any:
    """Return polygons as one shape in degrees, None where one of them is not valid or there is none."""
    areas = tuple(areas)
    found = Courses(tuple(ring for area in areas for ring in rings_of("", area)))
    if not found.found or not (found.is_valid & _has_degrees(found)).all():
        return None
    return found.shapes[0] if len(found.found) == 1 else in_degrees(areas).shape


def plane_about(extent: tuple[float, float, float, float]) -> LocalPlane:
    """Return the plane in metres about the middle of an extent: west, south, east, north."""
    west, south, east, north = extent
    return LocalPlane((west + east + 360.0) / 2.0 % 360.0 - 180.0, (south + north) / 2.0)


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


def _all(subject: Subject) -> Iterator[FieldShape]:
    whole = rings(subject)
    extents = shapely.bounds(whole.shapes).tolist()
    sound = (whole.is_valid & _has_degrees(whole)).tolist()
    sizes = whole.areas.tolist()
    for field in subject.dataset.fields:
        numbers = [number for area in field.boundaries for number in whole.of_area.get(id(area), ())]
        if not numbers or not all(sound[number] for number in numbers):
            continue
        if len(numbers) == 1:
            only = numbers[0]
            yield FieldShape(field, whole.shapes[only], tuple(extents[only]), sizes[only])
            continue
        shape = in_degrees(field.boundaries).shape
        if shape is not None:
            west, south, east, north = shapely.bounds(shape).tolist()
            yield FieldShape(field, shape, (west, south, east, north))


def _has_degrees(found: Courses) -> NDArray[np.bool_]:
    """Tell which rings have a shape in degrees and in a plane: no cap of a pole, no half of the Earth."""
    lon = np.abs(found.flat[:, 0] - found.flat[found.starts[found.home], 0])
    far = np.minimum(lon, 360.0 - lon) > WIDEST_DEG
    fits = np.bincount(found.home[far], minlength=len(found.found)) == 0
    polar = distinct(found.home[np.abs(found.flat[:, 1]) > POLAR]).tolist()
    fits[[number for number in polar if winding(found.found[number].points)]] = False
    return np.asarray(fits)
