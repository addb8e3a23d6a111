"""What in a fixed set of lines and points lies nearest to places of another set, in a local plane in metres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import distances, distinct, lengths, resample

Sampled: TypeAlias = tuple[Points, NDArray[np.intp]]
"""Places (n, 2) of a line, and the number of the stretch each belongs to, (n,)."""

Nearest: TypeAlias = tuple[NDArray[np.intp], NDArray[np.intp]]
"""Which places have a counterpart, (m,), and the piece of a target that it lies in, (m,)."""


@dataclass(frozen=True, slots=True)
class Residuals:
    """Residuals of m places.

    Parameters
    ----------
    normals : ndarray
        (m, 2) unit vectors.
    offsets : ndarray
        (m,) metres along them from the place, before any shift, to its counterpart.
    groups : ndarray
        (m,) which places err together.
    """

    normals: Points
    offsets: Floats
    groups: NDArray[np.intp]


class Targets:
    """Fixed lines and points, ready to be searched; a line of one point is a point."""

    def __init__(self, lines: Sequence[ArrayLike]) -> None:
        courses = [distinct(line) for line in lines]
        segments = [np.stack([line[:-1], line[1:]], axis=1) for line in courses if len(line) > 1]
        points = [np.stack([line, line], axis=1) for line in courses if len(line) == 1]
        closed = [len(line) > 2 and bool((line[0] == line[-1]).all()) for line in courses if len(line) > 1]
        self.ends = np.concatenate([*segments, *points, np.empty((0, 2, 2))])
        self.open_start = np.zeros(len(self.ends), dtype=np.bool_)
        self.open_end = self.open_start.copy()
        last = np.cumsum([len(part) for part in segments]).astype(np.intp) - 1
        first = last - np.asarray([len(part) - 1 for part in segments], dtype=np.intp)
        self.open_start[first] = self.open_end[last] = ~np.asarray(closed, dtype=np.bool_)
        self.tree = shapely.STRtree(shapely.linestrings(self.ends))

    def nearest(self, places: Points, reach: float) -> Nearest:
        """Return which places have a counterpart, and in which piece of a line it lies."""
        found, near = self.tree.query_nearest(shapely.points(places), max_distance=reach, all_matches=False)
        return found, near

    def normals(self, places: Points, nearest: Nearest) -> tuple[NDArray[np.intp], Points, Floats]:
        """Return for places with a counterpart: their index, the normal, and n · (q - p). A point gives two."""
        found, near = nearest
        start, step = self.ends[near, 0], self.ends[near, 1] - self.ends[near, 0]
        size = lengths(step)
        line = size > 0.0
        unit = np.divide(step, size[:, np.newaxis], out=np.zeros_like(step), where=line[:, np.newaxis])
        vector = start - places[found]
        along = -(vector * unit).sum(axis=1)
        inside = ~(((along < 0.0) & self.open_start[near]) | ((along > size) & self.open_end[near]))
        use = line & inside
        normal = np.column_stack([unit[:, 1], -unit[:, 0]])
        across = (normal * vector).sum(axis=1)
        point, count = ~line, int((~line).sum())
        axes = np.repeat(np.eye(2), count, axis=0)
        return (
            np.concatenate([found[use], found[point], found[point]]),
            np.concatenate([normal[use], axes]),
            np.concatenate([across[use], vector[point, 0], vector[point, 1]]),
        )


def sampled(line: ArrayLike, step: float, independent: float) -> Sampled:
    """Return places along a line about ``step`` apart, and in which stretch of it, ``independent`` long, each lies.

    There are no more stretches than corners: what lies between two corners errs with them.
    """
    points = distinct(line)
    places = resample(points, step) if len(points) > 1 else points
    travelled = distances(places)
    whole = float(travelled[-1]) if len(travelled) else 0.0
    corners = len(points) - int(len(points) > 2 and bool((points[0] == points[-1]).all()))
    stretches = max(1, min(round(whole / independent), corners))
    part = np.minimum((travelled * (stretches / whole)).astype(np.intp), stretches - 1) if whole else [0] * len(places)
    return places, np.asarray(part, dtype=np.intp)


def nearest_at(lines: Sequence[Sampled], targets: Sequence[Targets], shift: Floats, reach: float) -> list[Nearest]:
    """Return the counterparts of lines, moved by a shift, in a target each."""
    return [target.nearest(places + shift, reach) for (places, _), target in zip(lines, targets, strict=True)]


def residuals_at(
    lines: Sequence[Sampled], targets: Sequence[Targets], shift: Floats, nearest: Sequence[Nearest]
) -> Residuals | None:
    """Return the residuals of lines against a target each, or None where fewer than three places have a counterpart."""
    normals, offsets, groups, used = [], [], [], 0
    for (places, part), target, known in zip(lines, targets, nearest, strict=True):
        if len(places) == 0:
            continue
        index, normal, across = target.normals(places + shift, known)
        normals.append(normal)
        offsets.append(across + normal @ shift)
        groups.append(part[index] + used)
        used += int(part.max()) + 1
    if sum(len(part) for part in offsets) < 3:
        return None
    return Residuals(np.concatenate(normals), np.concatenate(offsets), np.concatenate(groups))


def residuals_of_pairs(
    moving: Sequence[Points], fixed: Sequence[Points], step: float, independent: float
) -> Residuals | None:
    """Return the residuals of lines against one each whose segments are their counterparts, None below three of them.

    See `sampled` for ``step`` and ``independent``. A line of one place is a point, which gives two residuals.
    """
    normals, offsets, groups, used = [np.empty((0, 2))], [np.empty(0)], [np.empty(0, dtype=np.intp)], 0
    for one, two in zip(moving, fixed, strict=True):
        places, part = sampled(one, step, independent)
        kept = np.append(True, (np.diff(one, axis=0) != 0.0).any(axis=1))
        ends, starts = two[kept], distances(one[kept])
        if len(ends) == 1:
            normal, away = np.eye(2), ends[0] - places[0]
            across, index = away, np.zeros(2, dtype=np.intp)
        else:
            travelled = np.linspace(0.0, starts[-1], len(places))
            segment = np.clip(np.searchsorted(starts, travelled, side="right") - 1, 0, len(ends) - 2)
            ways = np.diff(ends, axis=0)
            sizes = lengths(ways)
            index = np.flatnonzero(sizes[segment] > 0.0)
            segment = segment[index]
            unit = ways[segment] / sizes[segment, np.newaxis]
            normal = np.column_stack([unit[:, 1], -unit[:, 0]])
            across = (normal * (ends[segment] - places[index])).sum(axis=1)
        normals.append(normal)
        offsets.append(across)
        groups.append(part[index] + used)
        used += int(part.max()) + 1
    if sum(map(len, offsets)) < 3:
        return None
    return Residuals(np.concatenate(normals), np.concatenate(offsets), np.concatenate(groups))
