"""Every ring and line of a data set in a few long arrays, so that each rule looks at all of them at once."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.loops import ring_shapes
from taskdata.geometry.metres import on_earth, steps
from taskdata.geometry.rings import unwrap
from taskdata.mapped import ArrayStore
from taskdata.model.fields import Field, GuidanceLine
from taskdata.model.shapes import Area, Line

Indexes = NDArray[np.intp]
Mask = NDArray[np.bool_]

_PIECE = 100_000
"""About how many points are looked at together where courses are copied."""


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """A ring or line: its record, its points (n, 2) in degrees, a ring without the repeated first one.

    ``owner`` is the identifier of the field or task that it belongs to; ``is_hole`` tells an inner ring.
    """

    record: Area | Line | GuidanceLine
    owner: str
    points: Points
    is_ring: bool = False
    is_closed: bool = False
    is_hole: bool = False

    @property
    def place(self) -> Place:
        """Where its record stands."""
        return self.record.place

    @property
    def element(self) -> str:
        """What to call it in a message: the nearest identifier, else that of its owner."""
        return self.record.place.element or self.owner


class Courses:
    """Courses one after the other: all their points as ``flat`` (n, 2), those of each from ``starts``, ``sizes`` many.

    ``home`` (n,) is the number of the course of each point. Arrays with a row for each point are not written to; where
    there are very many points they lie in mapped files.
    """

    def __init__(self, found: tuple[Course, ...], points: list[Points] | None = None) -> None:
        self.found = found
        parts = [course.points for course in found] if points is None else points
        self._kept = ArrayStore().kept
        flat = np.concatenate([np.empty((0, 2)), *parts])
        flat[~np.isfinite(flat)] = np.nan
        self.flat: Points = self._kept(flat)
        self.sizes: Indexes = np.array([len(part) for part in parts], dtype=np.intp)
        self.starts: Indexes = np.cumsum(self.sizes) - self.sizes
        self.home: Indexes = self._kept(np.repeat(np.arange(len(parts)), self.sizes))

    @cached_property
    def following(self) -> Indexes:
        """Index of the next point, (n,): after the last of a ring the first, after that of a line itself."""
        following = np.arange(1, len(self.flat) + 1)
        filled = self.sizes > 0
        last = (self.starts + self.sizes - 1)[filled]
        ring = np.array([course.is_ring for course in self.found], dtype=np.bool_)[filled]
        following[last] = np.where(ring, self.starts[filled], last)
        return self._kept(following)

    @cached_property
    def steps(self) -> Points:
        """Metres east and north from each point to the next, (n, 2); 0 after the last of a line."""
        return self._kept(steps(self.flat, self.flat[self.following]))

    @cached_property
    def lengths(self) -> Floats:
        """Metres from each point to the next, (n,)."""
        return self._kept(np.asarray(np.hypot(*self.steps.T)))

    @cached_property
    def before(self) -> Indexes:
        """Index of the point before, (n,); of the first of a line itself."""
        before = np.arange(len(self.flat))
        before[self.following[::-1]] = np.arange(len(self.flat))[::-1]
        return self._kept(before)

    @cached_property
    def is_end(self) -> Mask:
        """Which points are the last of a line, (n,)."""
        line = np.array([not course.is_ring for course in self.found], dtype=np.bool_)
        return self._is_last & line[self.home]

    @cached_property
    def is_joint(self) -> Mask:
        """Which points are the last of a line, or of a ring that is not closed, (n,)."""
        apart = np.array([not course.is_closed for course in self.found], dtype=np.bool_)
        return self._is_last & apart[self.home]

    @cached_property
    def _is_last(self) -> Mask:
        last = np.zeros(len(self.flat), dtype=np.bool_)
        last[(self.starts + self.sizes - 1)[self.sizes > 0]] = True
        return last

    def each(self, values: Floats) -> Floats:
        """Return the sum of a value of every point for each course, (courses,)."""
        return np.asarray(np.bincount(self.home, weights=values, minlength=len(self.found)), dtype=np.float64)

    @cached_property
    def areas(self) -> Floats:
        """Square metres of each ring, (courses,)."""
        found = np.zeros(len(self.found))
        for first, last in self._pieces():
            sizes, begin = self.sizes[first:last], self.starts[first]
            rows = slice(begin, begin + int(sizes.sum()))
            metres = steps(self.flat[np.repeat(self.starts[first:last], sizes)], self.flat[rows])
            ahead = metres[self.following[rows] - begin]
            twice = metres[:, 0] * ahead[:, 1] - metres[:, 1] * ahead[:, 0]
            found[first:last] = np.bincount(self.home[rows] - first, weights=twice, minlength=last - first)
        return np.asarray(np.abs(found) / 2.0)

    def _pieces(self) -> Iterator[tuple[int, int]]:
        """Yield the first number and the one behind the last of courses that have about `_PIECE` points together."""
        cuts = np.flatnonzero(np.diff(self.starts // _PIECE)) + 1
        return (pair for pair in pairwise([0, *cuts.tolist(), len(self.found)]) if pair[0] < pair[1])

    def in_pieces(self, dropped: Mask) -> Iterator[tuple[int, Courses]]:
        """Yield the courses without some points, some at a time, each time with the number of the first of them."""
        for first, last in self._pieces():
            points = [
                self.flat[start : start + size][~dropped[start : start + size]]
                for start, size in zip(self.starts[first:last].tolist(), self.sizes[first:last].tolist(), strict=True)
            ]
            yield first, Courses(self.found[first:last], points)

    @cached_property
    def of_area(self) -> dict[int, list[int]]:
        """Numbers of the rings of each polygon, by the ``id`` of its record."""
        found: dict[int, list[int]] = {}
        for number, course in enumerate(self.found):
            found.setdefault(id(course.record), []).append(number)
        return found

    @cached_property
    def is_valid(self) -> Mask:
        """Whether each is a ring that neither crosses nor touches itself, and stays on Earth, (courses,)."""
        return np.asarray(shapely.is_valid(self.shapes))

    @cached_property
    def shapes(self) -> NDArray[Any]:
        """A polygon of each ring in degrees, with continuous longitudes, (courses,).

        None for a line, for fewer than three points, and where a point is not on Earth.
        """
        good = np.array([course.is_ring for course in self.found], dtype=np.bool_) & (self.sizes > 2)
        good &= np.bincount(self.home[~on_earth(self.flat)], minlength=len(self.found)) == 0
        shapes = np.full(len(good), None, dtype=object)
        far = np.abs(self.flat[self.following, 0] - self.flat[:, 0]) > 180.0
        jumping = np.bincount(self.home[far], minlength=len(good)) > 0
        plain = np.flatnonzero(good & ~jumping)
        shapes[plain] = ring_shapes([self.found[index].points for index in plain])
        bent = np.flatnonzero(good & jumping)
        shapes[bent] = ring_shapes([unwrap(self.found[index].points) for index in bent])
        return shapes


@once
def rings(subject: Subject) -> Courses:
    """Return every ring of every field and treatment zone, outer rings first in each polygon; made once for a set."""
    return Courses(tuple(ring for owner, area in areas(subject) for ring in rings_of(owner, area)))


@once
def lines(subject: Subject) -> Courses:
    """Return every line of every field and every course of guidance patterns; made once for a set."""
    return Courses(
        tuple(Course(record, field.id, record.points) for field in subject.dataset.fields for record in _records(field))
    )


def _records(field: Field) -> Iterator[Line | GuidanceLine]:
    yield from field.lines
    yield from field.guidance


def areas(subject: Subject) -> Iterator[tuple[str, Area]]:
    """Yield every polygon with the identifier of its field or task."""
    for field in subject.dataset.fields:
        for area in (*field.boundaries, *field.areas, *_valid_areas(field)):
            yield field.id, area
    for task in subject.dataset.tasks:
        for zone in task.zones:
            for area in zone.areas:
                yield task.id, area


def _valid_areas(field: Field) -> Iterator[Area]:
    """Yield where the guidance of a field is valid."""
    for group in field.groups:
        yield from group.boundaries
        for line in group.lines:
            yield from line.boundaries


def rings_of(owner: str, area: Area) -> Iterator[Course]:
    """Yield the rings of a polygon, the outer ones first."""
    for number, points in enumerate((*area.exteriors, *area.interiors)):
        closed = len(points) > 1 and points[0].tolist() == points[-1].tolist()
        hole = number >= len(area.exteriors)
        yield Course(area, owner, points[:-1] if closed else points, is_ring=True, is_closed=closed, is_hole=hole)
