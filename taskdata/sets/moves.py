"""How far things lie apart in two sets, each by itself."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry import transverse_mercator
from taskdata.geometry.apart import Lines, farthest_each, middles
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import inverse
from taskdata.model.shapes import Coordinates

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
    pairs = [(before, after)]
    return moves(pairs, laid(pairs), [ring])[0]


def moves(
    pairs: Sequence[tuple[Coordinates, Coordinates]], flat: Sequence[tuple[Points, Points]], rings: Sequence[bool]
) -> list[Move]:
    """Return how the second of each pair lies against the first, all at once.

    Parameters
    ----------
    pairs : sequence of tuple
        (n, 2) degrees of both, neither empty.
    flat : sequence of tuple
        The same in metres, see `laid`.
    rings : sequence of bool
        Whether both are rings, which run back to their first point.
    """
    found: list[Move | None] = [None] * len(pairs)
    for at in _endless(flat):
        found[at] = _round_the_world(*pairs[at])
    known = [at for at, item in enumerate(found) if item is None]
    for at, item in zip(known, _moves([flat[at] for at in known], [rings[at] for at in known]), strict=True):
        found[at] = item
    return [item for item in found if item is not None]


def laid(pairs: Sequence[tuple[Coordinates, Coordinates]]) -> list[tuple[Points, Points]]:
    """Return pairs of lines, (n, 2) degrees, none of them empty, in metres of one plane for each pair, all at once."""
    if not pairs:
        return []
    lines = [line for both in pairs for line in both]
    ends = np.cumsum([len(line) for line in lines])
    points, last = np.concatenate(lines), ends[1::2]
    counts = np.diff(last, prepend=0)
    origins = np.round(points[last - counts + counts // 2] * _PLANES_A_DEGREE) / _PLANES_A_DEGREE
    north = transverse_mercator.forward(origins, origins[:, 0], 0.0)[:, 1]
    flat = transverse_mercator.forward(points, np.repeat(origins[:, 0], counts), 0.0)
    flat[:, 1] -= np.repeat(north, counts)
    parts = np.split(flat, ends[:-1])
    return list(zip(parts[::2], parts[1::2], strict=True))


def runs_back(one: Points, two: Points) -> bool:
    """Tell whether a line runs the other way: from end to beginning or, where it is closed, round the other way."""
    if len(one) < 2 or len(two) < 2:
        return False
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


def _round_the_world(before: Coordinates, after: Coordinates) -> Move:
    """Return a move that no plane can show, from first to first point."""
    azimuths, lengths = inverse(before[:1], after[:1])
    far, way = float(lengths[0]), math.radians(float(np.nan_to_num(azimuths[0])))
    return Move(far, far * math.sin(way), far * math.cos(way), 0.0, 0.0, 0.0)


def _endless(flat: Sequence[tuple[Points, Points]]) -> list[int]:
    """Return which pairs lie in no plane, in part at least."""
    if not flat:
        return []
    counts = [len(one) + len(two) for one, two in flat]
    points = np.concatenate([line for both in flat for line in both])
    whole = np.logical_and.reduceat(np.isfinite(points).all(axis=1), np.cumsum([0, *counts[:-1]]))
    return [int(at) for at in np.flatnonzero(~whole)]


def _moves(flat: Sequence[tuple[Points, Points]], rings: Sequence[bool]) -> list[Move]:
    """Return how the second of each pair lies against the first, in metres."""
    if not flat:
        return []
    closed = np.array(rings)
    one, two = (Lines.of([both[side] for both in flat], closed) for side in (0, 1))
    ways = middles(two) - middles(one)
    first, second = _directions(one, closed), _directions(two, closed)
    turned = np.degrees((second - first + math.pi) % (2 * math.pi) - math.pi)
    sine, cosine = np.sin(first), np.cos(first)
    along, across = ways[:, 0] * sine + ways[:, 1] * cosine, ways[:, 0] * cosine - ways[:, 1] * sine
    numbers = np.column_stack([_distances(flat, closed), ways, along, across, turned])
    return [Move(*row) for row in numbers.tolist()]


def _distances(flat: Sequence[tuple[Points, Points]], rings: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return the largest distance of a point of one from the other of each pair."""
    found = np.full(len(flat), np.nan)
    alike = [at for at, (one, two) in enumerate(flat) if len(one) == len(two)]
    if alike:
        one, two = (Lines.of([flat[at][side] for at in alike], rings[alike]) for side in (0, 1))
        found[alike] = farthest_each(one, two)
    for at in np.flatnonzero(np.isnan(found)).tolist():
        ends = (np.vstack([line, line[:1]]) if rings[at] else line for line in flat[at])
        found[at] = farthest(*ends)
    return found


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


def _directions(lines: Lines, rings: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Directions from first to last point, or of the first side of a ring, clockwise from north in radians."""
    first, last = lines.starts, lines.starts + lines.counts - 1
    end = np.where(rings, np.minimum(first + 1, last), last)
    ways = lines.points[end] - lines.points[first]
    for at in np.flatnonzero((ways == 0.0).all(axis=1) & (lines.counts > 1)).tolist():
        away = lines.points[first[at] : last[at] + 1] - lines.points[first[at]]
        ways[at] = away[int(np.argmax(np.hypot(*away.T) > 0.0))]
    return np.asarray(np.arctan2(ways[:, 0], ways[:, 1]))


def _shape(points: Coordinates) -> shapely.Geometry:
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
