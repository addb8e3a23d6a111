"""Every ring of the set with its shape, judged in bulk: only rings that are not valid are looked at one by one."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._once import once
from taskdata.checks.geometry._points import Courses
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Points, distinct
from taskdata.geometry.loops import ring_shapes
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import close, unwrap, winding, wrap
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.element import Element
from taskdata.mapped import ArrayStore

_SPOT = re.compile(r"\[(\S+) (\S+)\]")
_KINDS = {str(kind.value): kind for kind in RingKind}


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A line string (LSG) of a polygon (PLN) that is a ring, with its points (n, 2) in degrees; at least one."""

    element: Element
    kind: RingKind
    points: Points


class Rings:
    """All rings of a set, in document order.

    ``distinct`` (n,) tells how many different places each has, where 3 stands for three or more.
    """

    def __init__(self, found: tuple[Ring, ...]) -> None:
        self.found = found
        self._planes: dict[int, LocalPlane] = {}

    @cached_property
    def _sizes(self) -> NDArray[np.intp]:
        return np.array([len(ring.points) for ring in self.found], dtype=np.intp)

    @cached_property
    def _flat(self) -> Points:
        return ArrayStore().kept(np.concatenate([np.empty((0, 2)), *(ring.points for ring in self.found)]))

    @cached_property
    def off_earth(self) -> NDArray[np.intp]:
        """Positions of the rings with a point whose latitude or longitude does not exist."""
        wrong = (np.abs(self._flat) > [180.0, 90.0]).any(axis=1)
        return distinct(np.repeat(np.arange(len(self.found)), self._sizes)[wrong])

    def on_earth(self, chosen: NDArray[np.bool_]) -> NDArray[np.intp]:
        """Return the positions of rings that are chosen and have all points on Earth."""
        sound = chosen.copy()
        sound[self.off_earth] = False
        return np.flatnonzero(sound)

    @cached_property
    def distinct(self) -> NDArray[np.intp]:
        """How many different places each ring has, at most counted to 3."""
        if not self.found:
            return np.zeros(0, dtype=np.intp)
        places = np.where(self._flat == [180.0, np.nan], [-180.0, np.nan], self._flat)
        starts = np.cumsum(self._sizes) - self._sizes
        last = len(places)
        other = (places != np.repeat(places[starts], self._sizes, axis=0)).any(axis=1)
        second = np.minimum.reduceat(np.where(other, np.arange(last), last), starts)
        seconds = np.vstack([places, [[np.nan, np.nan]]])[second]
        third = other & (places != np.repeat(seconds, self._sizes, axis=0)).any(axis=1)
        return 1 + (second < last) + np.logical_or.reduceat(third, starts)

    @cached_property
    def shapes(self) -> NDArray[Any]:
        """A polygon of each ring, in degrees with continuous longitudes; None where it has no shape.

        Fewer than 3 places have none, nor has a ring with a point that is not on Earth.

        A ring round a pole is laid out in metres; see ``round_pole``.
        """
        shapes = np.full(len(self.found), None, dtype=object)
        enough = self.on_earth(self.distinct > 2)
        if not len(enough):
            return shapes
        points = [self.found[index].points for index in enough]
        for at in _jumping(points):
            points[at] = self._laid_out(int(enough[at]))
        shapes[enough] = ring_shapes(points)
        return shapes

    @cached_property
    def valid(self) -> NDArray[np.bool_]:
        """Whether each ring has a shape that neither crosses nor touches itself."""
        return np.asarray(shapely.is_valid(self.shapes))

    def fault(self, index: int) -> tuple[str, tuple[float, float] | None]:
        """Return what GEOS finds wrong with a shape, and where (longitude, latitude)."""
        reason = str(shapely.is_valid_reason(self.shapes[index]))
        spot = _SPOT.search(reason)
        if spot is None:
            return reason, None
        return reason[: spot.start()], self.spot(index, float(spot[1]), float(spot[2]))

    def spot(self, index: int, x: float, y: float) -> tuple[float, float]:
        """Return longitude and latitude of a place in the shape of a ring."""
        plane = self._planes.get(index)
        found = wrap([[x, y]]) if plane is None else plane.inverse([[x, y]])
        return float(found[0, 0]), float(found[0, 1])

    def round_pole(self, index: int) -> bool:
        """Tell whether a ring goes round a pole, and its shape is not in degrees."""
        return index in self._planes

    def _laid_out(self, index: int) -> Points:
        ring = self.found[index].points
        if not winding(ring):
            return unwrap(close(ring))
        plane = self._planes[index] = LocalPlane.centred_on(ring)
        return plane.forward(ring)


@once
def rings(subject: Subject) -> Rings:
    """Return every ring of main and external files; found once for each subject."""
    return Rings(_all(subject))


def _jumping(points: list[Points]) -> list[int]:
    """Return the positions of those rings where longitudes jump by more than 180 degrees."""
    sizes = np.array([len(ring) for ring in points])
    lon = np.concatenate(points)[:, 0]
    last = np.cumsum(sizes) - 1
    steps = np.append(np.abs(np.diff(lon)), 0.0)
    steps[last] = np.abs(lon[last] - lon[last - sizes + 1])
    far = np.repeat(np.arange(len(sizes)), sizes)[steps > 180.0]
    return [int(at) for at in distinct(far)]


def _all(subject: Subject) -> tuple[Ring, ...]:
    courses = Courses(subject)
    key = letter("LSG", "LineStringType")
    found = []
    for element in subject.tagged("LSG"):
        kind = _KINDS.get(element.attributes.get(key, "").strip())
        if kind is not None and element.parent is not None and element.parent.tag == "PLN":
            points = courses.of(element)
            if len(points):
                found.append(Ring(element, kind, points))
    return tuple(found)
