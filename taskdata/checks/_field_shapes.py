"""The ground of each field as a shape, in a plane of its own; and shapes of other polygons in the same plane."""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from operator import attrgetter
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._course_sets import boundary_numbers, rings
from taskdata.checks._courses import Course, Courses, ring_of
from taskdata.checks._ground import inside_point
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.areas import in_degrees
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.loops import polygons_of
from taskdata.geometry.metres import POLAR, degree_metres
from taskdata.geometry.nearest import in_metres, line_of
from taskdata.geometry.plane import LocalPlane
from taskdata.model.fields import Field
from taskdata.model.shapes import Area


@dataclass(frozen=True, eq=False)
class FieldShape:
    """A field whose boundary is valid.

    ``extent`` is west, south, east and north of its ``shape``; ``ground`` is the same in metres of ``plane``.
    ``several`` is the shape where several rings make it.
    """

    field: Field
    extent: tuple[float, float, float, float]
    several: Any = None

    @cached_property
    def shape(self) -> Any:
        """Its ground in degrees with continuous longitudes."""
        return Courses((_only_ring(self.field),)).shapes[0] if self.several is None else self.several

    @cached_property
    def area(self) -> float:
        """Square metres, holes out."""
        if self.several is None:
            return float(Courses((_only_ring(self.field),)).areas[0])
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


class FieldShapes:
    """The fields whose boundary is valid, in the order of the source, of which each is made when it is asked for.

    ``extents`` are west, south, east and north of each, (n, 4), ``sizes`` its square metres, off by less than 0.5
    percent, (n,).
    """

    def __init__(
        self, fields: Sequence[Field], numbers: Sequence[int], extents: Floats, sizes: Floats, several: dict[int, Any]
    ) -> None:
        self.extents = extents
        self.sizes = sizes
        self._fields = fields
        self._numbers = numbers
        self._several = several
        self._made: dict[int, FieldShape] = {}

    def __len__(self) -> int:
        return len(self._numbers)

    def __getitem__(self, at: int) -> FieldShape:
        if not 0 <= at < len(self):
            raise IndexError(at)
        if at not in self._made:
            west, south, east, north = self.extents[at].tolist()
            self._made[at] = FieldShape(self.field(at), (west, south, east, north), self._several.get(at))
        return self._made[at]

    def __iter__(self) -> Iterator[FieldShape]:
        return map(self.__getitem__, range(len(self)))

    def field(self, at: int) -> Field:
        """Return the field alone."""
        return self._fields[self._numbers[at]]

    def shapes(self, numbers: Sequence[int]) -> NDArray[Any]:
        """Return the shapes of some of them, made anew, (numbers,)."""
        single = [at for at in numbers if at not in self._several]
        made = dict(zip(single, Courses(tuple(_only_ring(self.field(at)) for at in single)).shapes, strict=True))
        found = np.empty(len(numbers), dtype=object)
        found[:] = [made[at] if at in made else self._several[at] for at in numbers]
        return found

    def having(self, *parts: str) -> Iterator[FieldShape]:
        """Yield those fields that hold something in one of the named attributes, such as ``areas``."""
        holds = attrgetter(*parts, "id")
        return (self[at] for at in range(len(self)) if any(holds(self.field(at))[:-1]))

    @cached_property
    def by_id(self) -> dict[str, int]:
        """The first of each identifier."""
        return {self.field(at).id: at for at in reversed(range(len(self)))}


@once
def field_shapes(subject: Subject) -> FieldShapes:
    """Return the fields whose boundary is valid; made once for a set."""
    return _all(subject)


def field_shape_of(subject: Subject, name: str | None) -> FieldShape | None:
    """Return the first field with that identifier, None where there is none or its boundary is not valid."""
    found = field_shapes(subject)
    at = None if name is None else found.by_id.get(name)
    return None if at is None else found[at]


def shape_of(areas: Iterable[Area]) -> Any:
    """Return polygons as one shape in degrees, None where one of them is not valid or there is none."""
    areas = tuple(areas)
    outer = [ring_of("", area, points, is_hole=False) for area in areas for points in area.exteriors]
    inner = [ring_of("", area, points, is_hole=True) for area in areas for points in area.interiors]
    found = Courses((*outer, *inner))
    if not found.found or not (found.is_valid & found.has_degrees).all():
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


def _all(subject: Subject) -> FieldShapes:
    whole = rings(subject)
    sound = (whole.soundness.is_valid & whole.soundness.has_degrees).tolist()
    numbers, only = array("q"), array("q")
    several: dict[int, Any] = {}
    for at, field in enumerate(subject.dataset.fields):
        own = boundary_numbers(subject, at)
        if not own or not all(sound[number] for number in own):
            continue
        if len(own) > 1:
            shape = in_degrees(field.boundaries).shape
            if shape is None:
                continue
            several[len(numbers)] = shape
        numbers.append(at)
        only.append(own[0])
    chosen = np.array(only, dtype=np.intp)
    extents, sizes = whole.soundness.extents[chosen].reshape(-1, 4), whole.areas[chosen]
    for at, shape in several.items():
        extents[at] = shapely.bounds(shape)
        sizes[at] = shapely.area(shape) * np.prod(degree_metres(extents[at, [1, 3]].mean()))
    return FieldShapes(subject.dataset.fields, numbers, extents, sizes, several)


def _only_ring(field: Field) -> Course:
    """Return the ring of a field that has no other."""
    rings = ((area, ring) for area in field.boundaries for ring in (*area.exteriors, *area.interiors))
    area, points = next(rings)
    return ring_of("", area, points, is_hole=not area.exteriors)
