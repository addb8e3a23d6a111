"""How far lines lie apart that are the same but for a move, many pairs at once, in metres of a plane for each pair.

The distance of two lines is the largest of a point of one from the other. A point lies no farther off than it does
from the two segments of the other line that meet in the point with its number. Where the point that lies farthest off
by that measure lies no nearer to any other segment, this is the distance, for no other point can lie farther off. Lines
of which it is not so, such as a ring that begins elsewhere, are left to other methods.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points

_TRIES = 3
"""Points of a line that are looked at in full, the one that may lie farthest off first."""


class Lines(NamedTuple):
    """Lines one behind the other.

    Parameters
    ----------
    points : Points
        (n, 2) metres.
    counts, starts : ndarray
        (m,) how many of them belong to each line, one at least, and from where on.
    following, before : ndarray
        (n,) the point behind and before each: the ends of a ring have those at its other end, where the point that
        repeats the first one does not count as before it; the ends of a line have themselves.
    """

    points: Points
    counts: NDArray[np.intp]
    starts: NDArray[np.intp]
    following: NDArray[np.intp]
    before: NDArray[np.intp]

    @classmethod
    def of(cls, lines: Sequence[Points], rings: NDArray[np.bool_]) -> Lines:
        """Return lines, none of them empty; those where ``rings`` (m,) is True run back to their first point."""
        counts = np.array([len(line) for line in lines], dtype=np.intp)
        starts = np.cumsum(counts) - counts
        points, numbers, last = np.concatenate(lines), np.arange(int(counts.sum())), starts + counts - 1
        twice = (counts > 1) & (points[starts] == points[last]).all(axis=1)
        following, before = numbers + 1, numbers - 1
        following[last] = np.where(rings, starts, last)
        before[starts] = np.where(rings, last - twice, starts)
        return cls(points, counts, starts, following, before)


def farthest_each(one: Lines, two: Lines) -> Floats:
    """Return the distance of each line from the one with its number, which has as many points.

    Returns
    -------
    Floats
        (m,) metres; NaN where it has to be found in another way.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.sqrt(np.maximum(_farthest(one, two), _farthest(two, one)))


def middles(lines: Lines) -> Points:
    """Return the middle of each line by its length, (m, 2) metres; of one without length its first point."""
    first = lines.points[lines.starts]
    points = lines.points - np.repeat(first, lines.counts, axis=0)
    ends = points[lines.following]
    lengths = np.hypot(*(ends - points).T)
    total = np.add.reduceat(lengths, lines.starts)
    sums = np.add.reduceat((points + ends) * (lengths / 2.0)[:, np.newaxis], lines.starts, axis=0)
    return np.asarray(
        first + np.divide(sums, total[:, np.newaxis], out=np.zeros_like(sums), where=total[:, None] > 0.0)
    )


def _farthest(moved: Lines, still: Lines) -> Floats:
    """Return the square of the largest distance of a point of each line from another one, NaN where it is not known."""
    x, y = moved.points.T.copy()
    start_x, start_y = still.points.T.copy()
    way_x, way_y = start_x[still.following] - start_x, start_y[still.following] - start_y
    size = way_x * way_x + way_y * way_y
    size[size == 0.0] = 1.0
    segments = start_x, start_y, way_x, way_y, size
    own, last = np.arange(len(x)), still.starts + still.counts - 1
    again = still.before[still.starts] == last - 1  # the last point is the first one once more
    own[last[again]] = still.starts[again]
    bounds = np.minimum(
        _squares(x, y, [part[own] for part in segments]), _squares(x, y, [part[still.before] for part in segments])
    )
    found = np.full(len(still.counts), np.nan)
    left, numbers = np.arange(len(found)), np.arange(len(x))
    line = np.repeat(left, still.counts)
    for _ in range(_TRIES):
        most = np.maximum.reduceat(bounds, still.starts)[left]
        largest = np.full(len(found), np.nan)
        largest[left] = most
        here = np.flatnonzero(bounds == largest[line])
        at = numbers[here[np.searchsorted(line[here], left)]]
        rows = _rows(still.starts[left], still.counts[left])
        same = np.repeat(at, still.counts[left])
        full = _squares(x[same], y[same], [part[rows] for part in segments])
        inner = np.cumsum(still.counts[left]) - still.counts[left]
        exact = np.minimum.reduceat(full, inner)
        done = exact >= most
        found[left[done]] = most[done]
        bounds[at] = exact
        left = left[~done]
        if not len(left):
            break
    return found


def _rows(starts: NDArray[np.intp], counts: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the numbers of the points of some lines."""
    return np.asarray(np.arange(int(counts.sum())) + np.repeat(starts - (np.cumsum(counts) - counts), counts))


def _squares(x: Floats, y: Floats, segments: Sequence[Floats]) -> Floats:
    """Return the squared distance of each place from a segment, (n,): from where, by how much, how long squared."""
    start_x, start_y, way_x, way_y, size = segments
    off_x, off_y = x - start_x, y - start_y
    along = (off_x * way_x + off_y * way_y) / size
    np.clip(along, 0.0, 1.0, out=along)
    off_x -= along * way_x
    off_y -= along * way_y
    return off_x * off_x + off_y * off_y
