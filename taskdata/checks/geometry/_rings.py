"""Every ring of the set with its shape, judged in bulk: only rings that are not valid are looked at one by one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._once import once
from taskdata.checks.geometry._points import Courses
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Points
from taskdata.geometry.course_facts import CourseFacts, course_facts, joined
from taskdata.geometry.loops import ring_shapes
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import close, unwrap, winding, wrap
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.element import Element

_SPOT = re.compile(r"\[(\S+) (\S+)\]")
_AT_ONCE = 1_000
"""How many rings are looked at together."""
_KINDS = {str(kind.value): kind for kind in RingKind}


@dataclass(frozen=True, slots=True, eq=False)
class Ring:
    """A line string (LSG) of a polygon (PLN) that is a ring, with its points (n, 2) in degrees; at least one."""

    element: Element
    kind: RingKind
    points: Points


class Rings:
    """All rings of a set, in document order, by number from 0; each is made when it is asked for.

    Parameters
    ----------
    courses : Courses
        Gives their points.
    lines : list
        Element and kind of each.
    facts : CourseFacts
        What each is roughly like.
    """

    def __init__(self, courses: Courses, lines: list[tuple[Element, RingKind]], facts: CourseFacts) -> None:
        self.facts = facts
        self._courses = courses
        self._lines = lines
        self._planes: dict[int, LocalPlane] = {}

    def __len__(self) -> int:
        return len(self._lines)

    def __getitem__(self, number: int) -> Ring:
        element, kind = self._lines[number]
        return Ring(element, kind, self._courses.of(element))

    def polygons(self) -> Iterator[tuple[list[int], list[int]]]:
        """Yield the outer and the inner rings of each polygon (PLN)."""
        found: dict[object, tuple[list[int], list[int]]] = {}
        for number, (element, kind) in enumerate(self._lines):
            rings = found.setdefault(element.parent, ([], []))
            rings[0 if kind is RingKind.EXTERIOR else 1].append(number)
        yield from found.values()

    @cached_property
    def off_earth(self) -> NDArray[np.intp]:
        """Numbers of the rings with a point whose latitude or longitude does not exist."""
        odd = np.flatnonzero(~self.facts.is_plain)
        wrong = [(np.abs(self[number].points) > [180.0, 90.0]).any() for number in odd.tolist()]
        return odd[np.array(wrong, dtype=np.bool_)]

    def on_earth(self, chosen: NDArray[np.bool_]) -> NDArray[np.intp]:
        """Return the numbers of rings that are chosen, (n,), and have all points on Earth."""
        sound = chosen.copy()
        sound[self.off_earth] = False
        return np.flatnonzero(sound)

    @cached_property
    def distinct(self) -> NDArray[np.int8]:
        """How many different places each ring has, at most counted to 3, (n,)."""
        found = np.full(len(self), 3, np.int8)
        for part in self._unsure():
            found[part] = _distinct([self[number].points for number in part.tolist()])
        return found

    def shapes(self, numbers: Sequence[int]) -> NDArray[Any]:
        """Return a polygon of each of some rings, in degrees with continuous longitudes; None where it has no shape.

        Fewer than 3 places have none, nor has a ring with a point that is not on Earth.

        A ring round a pole is laid out in metres; see ``round_pole``.
        """
        shapes = np.full(len(numbers), None, dtype=object)
        good = [at for at, number in enumerate(numbers) if self._has_shape[number]]
        shapes[good] = ring_shapes([self._laid_out(numbers[at]) for at in good])
        return shapes

    @cached_property
    def _has_shape(self) -> NDArray[np.bool_]:
        found = np.zeros(len(self), np.bool_)
        found[self.on_earth(self.distinct > 2)] = True
        return found

    @cached_property
    def valid(self) -> NDArray[np.bool_]:
        """Whether each ring has a shape that neither crosses nor touches itself, (n,)."""
        found = self.facts.is_simple.copy()
        for part in self._unsure():
            found[part] = shapely.is_valid(self.shapes(part.tolist()))
        return found

    def _unsure(self) -> Iterator[NDArray[np.intp]]:
        """Yield the numbers of the rings of which it is not known that they are valid, some at a time."""
        numbers = np.flatnonzero(~self.facts.is_simple)
        return (numbers[start : start + _AT_ONCE] for start in range(0, len(numbers), _AT_ONCE))

    def fault(self, index: int) -> tuple[str, tuple[float, float] | None]:
        """Return what GEOS finds wrong with a shape, and where (longitude, latitude)."""
        reason = str(shapely.is_valid_reason(self.shapes([index])[0]))
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

    def _laid_out(self, number: int) -> Points:
        ring = self[number].points
        if self.facts.is_plain[number]:
            return ring
        if not winding(ring):
            return unwrap(close(ring))
        plane = self._planes[number] = LocalPlane.centred_on(ring)
        return plane.forward(ring)


@once
def rings(subject: Subject) -> Rings:
    """Return every ring of main and external files that has a point; found once for each subject."""
    courses, lines = Courses(subject), list(_lines(subject))
    kept: list[tuple[Element, RingKind]] = []
    facts: list[CourseFacts] = []
    for start in range(0, len(lines), _AT_ONCE):
        part = lines[start : start + _AT_ONCE]
        points = [courses.stored(element) for element, _ in part]
        found = course_facts(points, are_rings=True)
        unread = np.isnan(found.extents).any(axis=1)
        if unread.any():
            for at in np.flatnonzero(unread).tolist():
                points[at] = courses.of(part[at][0])
            part = [line for line, known in zip(part, points, strict=True) if len(known)]
            found = course_facts([known for known in points if len(known)], are_rings=True)
        kept += part
        facts.append(found)
    return Rings(courses, kept, joined(facts))


def _distinct(rings: Sequence[Points]) -> NDArray[np.intp]:
    """Return how many different places each of some rings has, at most counted to 3."""
    sizes = np.array([len(ring) for ring in rings])
    flat = np.concatenate(rings)
    places = np.where(flat == [180.0, np.nan], [-180.0, np.nan], flat)
    starts = np.cumsum(sizes) - sizes
    last = len(places)
    other = (places != np.repeat(places[starts], sizes, axis=0)).any(axis=1)
    second = np.minimum.reduceat(np.where(other, np.arange(last), last), starts)
    seconds = np.vstack([places, [[np.nan, np.nan]]])[second]
    third = other & (places != np.repeat(seconds, sizes, axis=0)).any(axis=1)
    return np.asarray(1 + (second < last) + np.logical_or.reduceat(third, starts))


def _lines(subject: Subject) -> Iterator[tuple[Element, RingKind]]:
    key = letter("LSG", "LineStringType")
    for element in subject.tagged("LSG"):
        kind = _KINDS.get(element.attributes.get(key, "").strip())
        if kind is not None and element.parent is not None and element.parent.tag == "PLN":
            yield element, kind
