"""Some rings or lines of a data set in a few long arrays, so that a rule looks at all of them at once."""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.geometry.arrays import Floats, Points, distinct
from taskdata.geometry.loops import ring_shapes
from taskdata.geometry.metres import POLAR, on_earth, steps
from taskdata.geometry.rings import unwrap, winding
from taskdata.model.fields import GuidanceLine
from taskdata.model.shapes import Area, Line

Indexes = NDArray[np.intp]
Mask = NDArray[np.bool_]

WIDEST_DEG = 60.0
"""Degrees of longitude from which a ring is no field, and too wide for a plane."""


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


def ring_of(owner: str, area: Area, points: Points, is_hole: bool) -> Course:
    """Return a ring of a polygon as a course."""
    closed = len(points) > 1 and points[0].tolist() == points[-1].tolist()
    return Course(area, owner, points[:-1] if closed else points, is_ring=True, is_closed=closed, is_hole=is_hole)


class Courses:
    """Courses one after the other: all their points as ``flat`` (n, 2), those of each from ``starts``, ``sizes`` many.

    ``home`` (n,) is the number of the course of each point. Arrays with a row for each point are not written to.
    """

    def __init__(self, found: tuple[Course, ...], points: list[Points] | None = None) -> None:
        self.found = found
        parts = [course.points for course in found] if points is None else points
        flat = np.concatenate([np.empty((0, 2)), *parts])
        flat[~np.isfinite(flat)] = np.nan
        self.flat: Points = flat
        self.sizes: Indexes = np.array([len(part) for part in parts], dtype=np.intp)
        self.starts: Indexes = np.cumsum(self.sizes) - self.sizes
        self.home: Indexes = np.repeat(np.arange(len(parts)), self.sizes)

    def without(self, dropped: Mask) -> Courses:
        """Return the same courses without some of their points, (n,)."""
        return Courses(self.found, np.split(self.flat[~dropped], np.cumsum(self._counted(~dropped))[:-1]))

    def _counted(self, points: Mask) -> Indexes:
        """Return how many points of each course are among those, (courses,)."""
        return np.bincount(self.home[points], minlength=len(self.found))

    @cached_property
    def following(self) -> Indexes:
        """Index of the next point, (n,): after the last of a ring the first, after that of a line itself."""
        following = np.arange(1, len(self.flat) + 1)
        filled = self.sizes > 0
        last = (self.starts + self.sizes - 1)[filled]
        following[last] = np.where(self._are_rings[filled], self.starts[filled], last)
        return following

    @cached_property
    def steps(self) -> Points:
        """Metres east and north from each point to the next, (n, 2); 0 after the last of a line."""
        return steps(self.flat, self.flat[self.following])

    @cached_property
    def lengths(self) -> Floats:
        """Metres from each point to the next, (n,)."""
        return np.asarray(np.hypot(*self.steps.T))

    @cached_property
    def before(self) -> Indexes:
        """Index of the point before, (n,); of the first of a line itself."""
        before = np.arange(len(self.flat))
        before[self.following[::-1]] = np.arange(len(self.flat))[::-1]
        return before

    @cached_property
    def is_end(self) -> Mask:
        """Which points are the last of a line, (n,)."""
        return self._is_last & ~self._are_rings[self.home]

    @cached_property
    def is_joint(self) -> Mask:
        """Which points are the last of a line, or of a ring that is not closed, (n,)."""
        apart = np.array([not course.is_closed for course in self.found], dtype=np.bool_)
        return self._is_last & apart[self.home]

    @cached_property
    def _are_rings(self) -> Mask:
        return np.array([course.is_ring for course in self.found], dtype=np.bool_)

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
        metres = steps(self.flat[np.repeat(self.starts, self.sizes)], self.flat)
        ahead = metres[self.following]
        twice = metres[:, 0] * ahead[:, 1] - metres[:, 1] * ahead[:, 0]
        return np.asarray(np.abs(self.each(twice)) / 2.0)

    @cached_property
    def is_valid(self) -> Mask:
        """Whether each is a ring that neither crosses nor touches itself, and stays on Earth, (courses,)."""
        return np.asarray(shapely.is_valid(self.shapes))

    @cached_property
    def has_degrees(self) -> Mask:
        """Which rings have a shape in degrees and in a plane, (courses,): no cap of a pole, no half of the Earth."""
        lon = np.abs(self.flat[:, 0] - self.flat[self.starts[self.home], 0])
        fits = self._counted(np.minimum(lon, 360.0 - lon) > WIDEST_DEG) == 0
        polar = distinct(self.home[np.abs(self.flat[:, 1]) > POLAR]).tolist()
        fits[[number for number in polar if winding(self.found[number].points)]] = False
        return np.asarray(fits)

    @cached_property
    def extents(self) -> Floats:
        """West, south, east and north of the shape of each, (courses, 4); NaN where it has none."""
        return np.asarray(shapely.bounds(self.shapes))

    @cached_property
    def shapes(self) -> NDArray[Any]:
        """A polygon of each ring in degrees, with continuous longitudes, (courses,).

        None for a line, for fewer than three points, and where a point is not on Earth.
        """
        good = self._are_rings & (self.sizes > 2) & (self._counted(~on_earth(self.flat)) == 0)
        shapes = np.full(len(good), None, dtype=object)
        jumping = self._counted(np.abs(self.flat[self.following, 0] - self.flat[:, 0]) > 180.0) > 0
        plain = np.flatnonzero(good & ~jumping)
        shapes[plain] = ring_shapes([self.found[index].points for index in plain])
        bent = np.flatnonzero(good & jumping)
        shapes[bent] = ring_shapes([unwrap(self.found[index].points) for index in bent])
        return shapes
