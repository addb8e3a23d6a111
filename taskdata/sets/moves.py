"""How far things lie apart in two sets: each by itself, and what they have in common."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from taskdata.geometry.alignment import estimate
from taskdata.geometry.plane import LocalPlane
from taskdata.model.shapes import Coordinates
from taskdata.sets.differences import CommonShift

LEAST_COMMON_M = 0.02
"""Metres below which a common shift is not worth a word."""
COMMON_SHARE = 0.5
_CLOSE_M = 0.05
_REACH_M = 50.0


@dataclass(frozen=True, slots=True)
class Move:
    """How one line or ring lies in the second set, against the first.

    Parameters
    ----------
    distance_m : float
        Largest distance between the two.
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


def move(before: Coordinates, after: Coordinates) -> Move:
    """Return how ``after`` lies against ``before``, (n, 2) degrees each, neither empty."""
    plane = LocalPlane.centred_on(np.vstack([before, after]))
    one, two = plane.forward(before), plane.forward(after)
    east, north = (_middle(two) - _middle(one)).tolist()
    first, second = _direction(one), _direction(two)
    sine, cosine = math.sin(first), math.cos(first)
    turned = math.degrees((second - first + math.pi) % (2 * math.pi) - math.pi)
    distance = float(shapely.hausdorff_distance(_shape(one), _shape(two)))
    return Move(distance, east, north, east * sine + north * cosine, east * cosine - north * sine, turned)


def common_shift(pairs: Sequence[tuple[Coordinates, Coordinates]]) -> CommonShift | None:
    """Return the shift that most of the pairs of lines or rings have in common, None if there is none to speak of."""
    usable = [both for both in pairs if all(len(points) and np.isfinite(points).all() for points in both)]
    if not usable:
        return None
    plane = LocalPlane.centred_on(np.vstack([points for both in usable for points in both]))
    flat = [(plane.forward(one), plane.forward(two)) for one, two in usable]
    found = estimate([one for one, _ in flat], [two for _, two in flat], matched=True, reach=_REACH_M)
    if found is None or math.hypot(*found.vector) < LEAST_COMMON_M:
        return None
    moved = np.array(found.vector)
    fits = [shapely.hausdorff_distance(_shape(one + moved), _shape(two)) < _CLOSE_M for one, two in flat]
    share = float(np.mean(fits))
    return CommonShift(found.east, found.north, share) if share >= COMMON_SHARE else None


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
