"""How far things lie apart in two sets: each by itself, and what they have in common."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.alignment import estimate
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import inverse
from taskdata.geometry.plane import LocalPlane
from taskdata.model.shapes import Coordinates
from taskdata.results.comparison import CommonShift

LEAST_COMMON_M = 0.02
"""Metres below which a common shift is not worth a word."""
COMMON_SHARE = 0.5
CLOSE_M = 0.05
"""Metres within which a thing moved by the common shift."""

_REACH_M = 50.0
_MOST_SHAPES, _MOST_TRIED = 100, 2_000
"""From how many lines and outlines a common shift is estimated, and on how many it is tried; of more, every n-th."""
_MOST_POINTS = 5_000
_WIDEST_DEG = 0.2
"""Degrees across from which a line is not that of a field: 22 km from south to north."""

_FEW_POINTS = 200
_PLANES_A_DEGREE = 20
"""Planes are shared: their origin is rounded to this part of a degree, so that lengths are right to 1e-7."""


@dataclass(frozen=True, slots=True)
class Move:
    """How one line or ring lies in the second set, against the first.

    Parameters
    ----------
    distance_m : float
        The largest distance of a point of one from the other.
    east_m, north_m : float
        Of the middle.
    along_m, across_m : float
        The same along the direction from first to last point, and to the right of it.
    turned_deg : float
        Clockwise.
    """

    distance_m: float
    east_m: float
    north_m: float
    along_m: float
    across_m: float
    turned_deg: float


def move(before: Coordinates, after: Coordinates, *, ring: bool = False) -> Move:
    """Return how ``after`` lies against ``before``, (n, 2) degrees each, neither empty; ``ring`` closes both."""
    one, two = _laid(before, after)
    if not (np.isfinite(one).all() and np.isfinite(two).all()):
        return _round_the_world(before, after)
    if ring:
        one, two = np.vstack([one, one[:1]]), np.vstack([two, two[:1]])
    east, north = (_middle(two) - _middle(one)).tolist()
    first, second = _direction(one), _direction(two)
    sine, cosine = math.sin(first), math.cos(first)
    turned = math.degrees((second - first + math.pi) % (2 * math.pi) - math.pi)
    distance = farthest(one, two)
    return Move(distance, east, north, east * sine + north * cosine, east * cosine - north * sine, turned)


def reversed_way(before: Coordinates, after: Coordinates) -> bool:
    """Tell whether a line runs the other way: from end to beginning or, where it is closed, round the other way."""
    if len(before) < 2 or len(after) < 2:
        return False
    one, two = _laid(before, after)
    if _closed(one) and _closed(two):
        return _turning(one) * _turning(two) < 0.0
    same = np.hypot(*(two[0] - one[0])) + np.hypot(*(two[-1] - one[-1]))
    crossed = np.hypot(*(two[-1] - one[0])) + np.hypot(*(two[0] - one[-1]))
    lengths = np.hypot(*(one[-1] - one[0])) + np.hypot(*(two[-1] - two[0]))
    turned = float(np.dot(one[-1] - one[0], two[-1] - two[0])) < 0.0
    return bool(turned and crossed < same and crossed < lengths)


def farthest(one: NDArray[np.float64], two: NDArray[np.float64]) -> float:
    """Return the largest distance of a point of one line from the other line, metres; (n, 2) metres each."""
    if max(len(one), len(two)) <= _FEW_POINTS:
        return float(shapely.hausdorff_distance(_shape(one), _shape(two)))
    return max(_farthest_from(one, two), _farthest_from(two, one))


def common_shift(pairs: Sequence[tuple[Coordinates, Coordinates]]) -> CommonShift | None:
    """Return the shift that most of the pairs of lines or rings have in common, None if there is none to speak of."""
    usable = [both for both in pairs if all(_speaks(points) for points in both)]
    usable = usable[:: max(1, math.ceil(len(usable) / _MOST_TRIED))]
    flat = []
    for one, two in usable:  # a plane each: in one for all, far things would be turned
        both = _laid(one, two)
        if np.isfinite(both[0]).all() and np.isfinite(both[1]).all():
            flat.append(both)
    if not flat:
        return None
    some = flat[:: max(1, math.ceil(len(flat) / _MOST_SHAPES))]
    found = estimate([one for one, _ in some], [two for _, two in some], matched=True, reach=_REACH_M)
    if found is None or math.hypot(*found.vector) < LEAST_COMMON_M:
        return None
    moved = np.array(found.vector)
    share = float(np.mean([_close(one + moved, two) for one, two in flat]))
    return CommonShift(found.east, found.north, share) if share >= COMMON_SHARE else None


def _close(one: Points, two: Points) -> bool:
    """Tell whether a line lies within the tolerance of another; each point by its counterpart is enough."""
    if len(one) == len(two) and bool((np.hypot(*(two - one).T) < CLOSE_M).all()):
        return True
    return farthest(one, two) < CLOSE_M


def _speaks(points: Coordinates) -> bool:
    """Tell whether a line or outline is one of a farm, and small enough to be computed with."""
    if not 0 < len(points) <= _MOST_POINTS or not np.isfinite(points).all():
        return False
    return bool((np.abs(points[:, 1]) <= 90.0).all() and (np.ptp(points, axis=0) <= _WIDEST_DEG).all())


def _round_the_world(before: Coordinates, after: Coordinates) -> Move:
    """Return a move that no plane can show, from first to first point."""
    azimuths, lengths = inverse(before[:1], after[:1])
    far, way = float(lengths[0]), math.radians(float(np.nan_to_num(azimuths[0])))
    return Move(far, far * math.sin(way), far * math.cos(way), 0.0, 0.0, 0.0)


def _laid(one: Coordinates, two: Coordinates) -> tuple[Points, Points]:
    """Return two lines in metres of one plane, which what lies near shares: making one takes longer than using it."""
    points = np.concatenate([one, two])
    lon, lat = points[len(points) // 2].tolist()
    plane = LocalPlane(*(round(value * _PLANES_A_DEGREE) / _PLANES_A_DEGREE for value in (lon, lat)))
    flat = plane.forward(points)
    return flat[: len(one)], flat[len(one) :]


def _farthest_from(points: NDArray[np.float64], line: NDArray[np.float64]) -> float:
    """Return the largest distance of some points from a line, by an index of its segments."""
    if len(line) == 1:
        return float(np.hypot(*(points - line[0]).T).max())
    tree = shapely.STRtree(shapely.linestrings(np.stack([line[:-1], line[1:]], axis=1)))
    _, distances = tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
    return float(distances.max())


def _closed(points: NDArray[np.float64]) -> bool:
    return len(points) > 3 and bool(np.array_equal(points[0], points[-1]))


def _turning(points: NDArray[np.float64]) -> float:
    """Return twice the area inside a closed line, positive where it runs anticlockwise."""
    x, y = (points - points[0]).T
    return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]))


def _middle(points: Coordinates) -> Coordinates:
    """Middle of a line by its length; of a single point the point."""
    line = shapely.LineString(points) if len(points) > 1 else None
    whole = line is None or line.length == 0.0
    return np.asarray(points[0] if whole else shapely.centroid(line).coords[0])


def _direction(points: Coordinates) -> float:
    """Direction from the first to the last point, or of the first side of a ring, clockwise from north in radians."""
    ways = points - points[0]
    far = np.hypot(ways[:, 0], ways[:, 1])
    other = ways[-1] if far[-1] > 0.0 else ways[int(np.argmax(far > 0.0))]
    return math.atan2(float(other[0]), float(other[1]))


def _shape(points: Coordinates) -> shapely.Geometry:
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
