"""What very many rings and lines are roughly like, found in bulk.

Whoever looks for faults looks only at those courses exactly that may have one. Figures are those of a plane about each
course in which a degree has one length everywhere; where that would be wrong by more than `ROUGH`, a course is not
plain and nothing is said of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.metres import POLAR, degree_metres

ROUGH = 0.002
"""Share by which lengths and areas of a plain course may be off."""
FOLD_DEGREES = 60.0
"""A corner of fewer degrees folds."""

_WIDEST_DEG = 60.0
"""Degrees of longitude from which a course is not plain."""
_PIECE = 1 << 15
"""About how many points are looked at together."""
_SURE = 1e-12
"""Share of the extent squared from which the sign of a cross product is beyond doubt; rounding makes 1e-15 of it."""

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class CourseFacts:
    """Facts about n courses, (n,) each; of one that is not ``plain`` only ``sizes`` and ``is_closed`` hold.

    Parameters
    ----------
    sizes : int array
        Points, without the repeated first one of a ring.
    is_closed : bool array
        Whether the last of several points is the first.
    is_plain : bool array
        Whether all points are numbers on Earth, away from poles, and near enough to each other for a plane.
    extents : float64 (n, 4)
        West, south, east, north in degrees, exactly.
    shortest, longest : float64 array
        Metres of the shortest and the longest step; of a ring that is not closed, the step that closes it is one.
    around : float64 array
        Metres of all steps together.
    areas, area_errors : float64 array
        Square metres within a ring, and by how many they may be off since edges are not straight in every plane.
    folds : bool array
        Whether it turns by so much at a point that a corner of less than `FOLD_DEGREES` is left.
    is_simple : bool array
        Whether it is a ring that certainly neither crosses nor touches itself, since the middle of its extent sees all
        of it; False where that is not known.
    """

    sizes: NDArray[np.intp]
    is_closed: Mask
    is_plain: Mask
    extents: Floats
    shortest: Floats
    longest: Floats
    around: Floats
    areas: Floats
    area_errors: Floats
    folds: Mask
    is_simple: Mask


def course_facts(courses: Sequence[Points], *, are_rings: bool) -> CourseFacts:
    """Return what courses are like.

    Parameters
    ----------
    courses : sequence of Points
        (n, 2) degrees each, of a ring with or without its first point at the end.
    are_rings : bool
        Rings, and not lines.
    """
    stored = np.fromiter(map(len, courses), np.intp, len(courses))
    cuts = np.flatnonzero(np.diff((np.cumsum(stored) - stored) // _PIECE)) + 1
    pairs = pairwise([0, *cuts.tolist(), len(courses)])
    return joined(
        _of_piece(courses[first:last], stored[first:last], are_rings) for first, last in pairs if first < last
    )


def joined(parts: Iterable[CourseFacts]) -> CourseFacts:
    """Return the facts of several runs of courses together."""
    pieces = [_none(), *parts]
    return CourseFacts(*(np.concatenate([getattr(each, item.name) for each in pieces]) for item in fields(CourseFacts)))


def _none(count: int = 0) -> CourseFacts:
    """Return the facts of so many courses of which nothing is known."""

    def unknown(*more: int) -> Floats:
        return np.full((count, *more), np.nan)

    def no() -> Mask:
        return np.zeros(count, np.bool_)

    return CourseFacts(
        sizes=np.zeros(count, np.intp),
        is_closed=no(),
        is_plain=no(),
        extents=unknown(4),
        shortest=unknown(),
        longest=unknown(),
        around=unknown(),
        areas=unknown(),
        area_errors=unknown(),
        folds=no(),
        is_simple=no(),
    )


def _of_piece(courses: Sequence[Points], stored: NDArray[np.intp], are_rings: bool) -> CourseFacts:
    found = _none(len(courses))
    found.sizes[:] = stored
    several = np.flatnonzero(stored > 1)
    if not len(several):
        return found
    parts = list(courses) if len(several) == len(courses) else [courses[at] for at in several.tolist()]
    sizes = stored[several]
    flat = np.concatenate(parts)
    ends = np.cumsum(sizes)
    closed = (flat[ends - 1] == flat[ends - sizes]).all(axis=1)
    found.is_closed[several] = closed
    if are_rings:
        found.sizes[several] -= closed
        if not closed.all():
            parts = [part if shut else np.vstack([part, part[:1]]) for part, shut in zip(parts, closed, strict=True)]
            sizes = sizes + ~closed
            flat = np.concatenate(parts)
    _look(found, several, flat, sizes)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Ends:
    """Which points are the first and the last of each course, (n,), among those of all courses one after the other."""

    starts: NDArray[np.intp]
    lasts: NDArray[np.intp]

    def shifted(self, values: Floats) -> Floats:
        """Return the value of the next point; behind the last of a closed ring comes the second, as it is the first."""
        found = np.empty_like(values)
        found[:-1] = values[1:]
        found[self.lasts] = values[self.starts + 1]
        return found

    def least(self, values: Floats) -> Floats:
        return np.minimum.reduceat(values, self.starts)

    def most(self, values: Floats) -> Floats:
        return np.maximum.reduceat(values, self.starts)

    def sums(self, values: NDArray[Any]) -> NDArray[Any]:
        """Return the sum over all points of each but the last."""
        return np.asarray(np.add.reduceat(values, self.starts) - values[self.lasts])


def _look(found: CourseFacts, numbers: NDArray[np.intp], flat: Points, sizes: NDArray[np.intp]) -> None:
    """Fill in the facts of courses by their points one after the other, two of each at least, rings closed."""
    ends = _Ends(np.cumsum(sizes) - sizes, np.cumsum(sizes) - 1)
    lon, lat = np.ascontiguousarray(flat[:, 0]), np.ascontiguousarray(flat[:, 1])
    low, high = (np.column_stack([edge(lon), edge(lat)]) for edge in (ends.least, ends.most))
    plane = _Plane.of(low, high)
    found.extents[numbers] = np.hstack([low, high])
    found.is_plain[numbers] = plane.fits
    with np.errstate(invalid="ignore", over="ignore"):
        middle = (low + high) / 2.0
        x = (lon - np.repeat(middle[:, 0], sizes)) * np.repeat(plane.ratio, sizes)
        y = lat - np.repeat(middle[:, 1], sizes)
        next_x, next_y = ends.shifted(x), ends.shifted(y)
        cross = x * next_y - next_x * y
        found.areas[numbers] = np.abs(ends.sums(cross)) / 2.0 * plane.unit**2
        sure = _SURE * ((high - low) ** 2).sum(axis=1)
        one_way = (ends.least(cross) > sure) | (ends.most(cross) < -sure)
        once = ends.sums(((y < 0.0) & (next_y >= 0.0)).astype(np.int32)) == 1  # a ray from the middle meets it
        found.is_simple[numbers] = plane.fits & one_way & once
        east, north = np.subtract(next_x, x, out=next_x), np.subtract(next_y, y, out=next_y)
        lengths = np.hypot(east, north)
        lengths[ends.lasts] = lengths[ends.starts]
        found.shortest[numbers] = ends.least(lengths) * plane.unit
        found.longest[numbers] = ends.most(lengths) * plane.unit
        found.around[numbers] = ends.sums(lengths) * plane.unit
        found.area_errors[numbers] = plane.spread * found.around[numbers] ** 2
        along = east[:-1] * east[1:] + north[:-1] * north[1:]
        back = np.append(along < -np.cos(np.radians(FOLD_DEGREES)) * lengths[:-1] * lengths[1:], False)
        back[ends.lasts] = False
        found.folds[numbers] = np.logical_or.reduceat(back, ends.starts)


@dataclass(frozen=True, slots=True, eq=False)
class _Plane:
    """Planes about n courses, (n,): whether it fits, a degree of longitude in such of latitude, metres of the latter.

    ``spread`` is the share by which a degree of longitude differs within each.
    """

    fits: Mask
    ratio: Floats
    unit: Floats
    spread: Floats

    @classmethod
    def of(cls, low: Points, high: Points) -> _Plane:
        """Return the planes of extents: west and south (n, 2), east and north (n, 2)."""
        with np.errstate(invalid="ignore"):
            fits = (low >= [-180.0, -POLAR]).all(axis=1) & (high <= [180.0, POLAR]).all(axis=1)
            fits &= high[:, 0] - low[:, 0] <= _WIDEST_DEG
            nearest = np.clip(0.0, low[:, 1], high[:, 1])  # to the equator, where a degree of longitude is longest
            widths, heights = degree_metres(np.column_stack([low[:, 1], nearest, high[:, 1]]))
            widest, narrowest = widths.max(axis=1), widths.min(axis=1)
            spread = widest / narrowest - 1.0
            unit = heights[:, 1]
            return cls(fits & (spread <= ROUGH), (widest + narrowest) / 2.0 / unit, unit, spread)
