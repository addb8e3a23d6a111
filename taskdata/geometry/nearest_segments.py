"""Which segment of a line each of many points lies nearest to."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points, dots

_MOST_IN_REACH = 40
"""Segments in reach of a point, from which a tree is faster than looking at each of them."""


def nearest_segments(points: Points, segments: Floats) -> NDArray[np.intp]:
    """Return the index of the segment that each point lies nearest to.

    Where every segment goes on in the direction of the line as a whole, as those of a pass do, only those are looked at
    that lie beside the point by no more than it is away from one of them; else a tree of all is asked.

    Parameters
    ----------
    points : ndarray
        (n, 2) metres.
    segments : ndarray
        (m, 2, 2) their ends, at least one; each begins where the one before ends.

    Returns
    -------
    ndarray
        (n,) intp; of several that are equally near, any.
    """
    begin, end = segments[:, 0], segments[:, 1]
    course = end[-1] - begin[0]
    size = float(np.hypot(*course))
    if size > 0.0 and len(points):
        course = course / size
        if (((end - begin) @ course) > 0.0).all():
            first, last = _in_reach(points, begin, end, course)
            if int((last - first).max()) < _MOST_IN_REACH:
                return _nearest_of(points, begin, end, first, last)
    tree = shapely.STRtree(shapely.linestrings(segments))
    return np.asarray(tree.query_nearest(shapely.points(points), all_matches=False)[1], dtype=np.intp)


def _in_reach(points: Points, begin: Points, end: Points, course: Points) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the first and the last segment that may be the nearest to each point, by how far along the course it is.

    The segment beside the point is so far away; what lies farther ahead or behind than that is farther away.
    """
    along, starts = points @ course, begin @ course
    beside = np.clip(np.searchsorted(starts, along, side="right") - 1, 0, len(starts) - 1)
    reach = np.sqrt(_squares(points, begin[beside], end[beside])) * (1.0 + 1e-9) + 1e-9
    first = np.searchsorted(end @ course, along - reach, side="left")
    last = np.searchsorted(starts, along + reach, side="right") - 1
    return np.minimum(first, beside), np.maximum(last, beside)


def _nearest_of(
    points: Points, begin: Points, end: Points, first: NDArray[np.intp], last: NDArray[np.intp]
) -> NDArray[np.intp]:
    nearest, least = first.copy(), _squares(points, begin[first], end[first])
    for step in range(1, int((last - first).max()) + 1):
        at = np.flatnonzero(first + step <= last)
        found = _squares(points[at], begin[first[at] + step], end[first[at] + step])
        closer = found < least[at]
        nearest[at[closer]] = first[at[closer]] + step
        least[at[closer]] = found[closer]
    return nearest


def _squares(points: Points, begin: Points, end: Points) -> Floats:
    """Return the square of the distance of each of (n, 2) points from its segment."""
    way, to = end - begin, points - begin
    share = np.clip(dots(to, way) / dots(way, way), 0.0, 1.0)
    rest = to - way * share[:, np.newaxis]
    return dots(rest, rest)
