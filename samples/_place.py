"""The invented Lindhollen valley: metres east and north of its origin, turned into WGS84 and back into shapes.

The coordinates lie in the open North Sea on purpose: no real field is meant and no machine can follow these lines.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

LATITUDE, LONGITUDE = 54.3, 7.0
HEIGHT = 41_500
"""Height of the valley above the ellipsoid in mm."""
_AXIS = 6_378_137.0
_SQUARED_ECCENTRICITY = 0.0066943799901413165

Metres = tuple[float, float]
Ring = Sequence[Metres]


def degrees(east: float, north: float) -> tuple[float, float]:
    """Return latitude and longitude of a place given in metres from the origin.

    North runs along the meridian, east along the parallel, so areas are true.
    """
    middle = math.radians(LATITUDE) + north / 2 / 6_380_000.0
    latitude = math.radians(LATITUDE) + north / _meridian_radius(middle)
    curve = 1 - _SQUARED_ECCENTRICITY * math.sin(latitude) ** 2
    circle = _AXIS / math.sqrt(curve) * math.cos(latitude)
    return math.degrees(latitude), LONGITUDE + math.degrees(east / circle)


def cell_size(metres: float, north: float) -> tuple[float, float]:
    """Return the size of a square cell of ``metres`` at ``north``: degrees north and degrees east."""
    south, west = degrees(0.0, north)
    return degrees(0.0, north + metres)[0] - south, degrees(metres, north)[1] - west


def decimal(value: float, digits: int = 9) -> str:
    """Return a coordinate as it is written in the files."""
    return f"{value:.{digits}f}"


def area(ring: Ring) -> float:
    """Return the area of ``ring`` in m2."""
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in _edges(ring))) / 2


def length(line: Ring) -> float:
    """Return the length of ``line`` in m."""
    return sum(math.dist(a, b) for a, b in itertools.pairwise(line))


def bearing(start: Metres, end: Metres) -> float:
    """Return the direction from ``start`` to ``end``, degrees clockwise from north."""
    return math.degrees(math.atan2(end[0] - start[0], end[1] - start[1])) % 360


def inside(point: Metres, ring: Ring) -> bool:
    """Tell whether ``point`` lies in the convex counter-clockwise ``ring``."""
    return all((b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]) >= 0 for a, b in _edges(ring))


def inset(ring: Ring, distance: float) -> list[Metres]:
    """Return the convex counter-clockwise ``ring`` moved inwards by ``distance`` m."""
    lines = []
    for a, b in _edges(ring):
        size = math.dist(a, b)
        dx, dy = (b[0] - a[0]) / size, (b[1] - a[1]) / size
        lines.append((a[0] - dy * distance, a[1] + dx * distance, dx, dy))
    return [_meet(lines[i - 1], lines[i]) for i in range(len(lines))]


def oval(centre: Metres, half_east: float, half_north: float, count: int = 16) -> list[Metres]:
    """Return a ring of ``count`` points around ``centre``."""
    steps = [2 * math.pi * i / count for i in range(count)]
    return [(centre[0] + half_east * math.cos(s), centre[1] + half_north * math.sin(s)) for s in steps]


def wavy(ring: Ring, spacing: float, height: float) -> list[Metres]:
    """Return ``ring`` with a point about every ``spacing`` m that swings by ``height`` m to either side."""
    points = []
    for a, b in _edges(ring):
        size = math.dist(a, b)
        count = round(size / spacing)
        for i in range(count):
            part = i / count
            swing = height * math.sin(2 * math.pi * part * round(size / 90)) / size
            points.append(
                (
                    a[0] + (b[0] - a[0]) * part - (b[1] - a[1]) * swing,
                    a[1] + (b[1] - a[1]) * part + (b[0] - a[0]) * swing,
                )
            )
    return points


def _edges(ring: Ring) -> list[tuple[Metres, Metres]]:
    return [(ring[i - 1], ring[i]) for i in range(1, len(ring))] + [(ring[-1], ring[0])]


def _meet(one: tuple[float, float, float, float], two: tuple[float, float, float, float]) -> Metres:
    x1, y1, dx1, dy1 = one
    x2, y2, dx2, dy2 = two
    step = ((x2 - x1) * dy2 - (y2 - y1) * dx2) / (dx1 * dy2 - dy1 * dx2)
    return x1 + dx1 * step, y1 + dy1 * step


def _meridian_radius(latitude: float) -> float:
    curve = 1 - _SQUARED_ECCENTRICITY * math.sin(latitude) ** 2
    return _AXIS * (1 - _SQUARED_ECCENTRICITY) / (curve * math.sqrt(curve))
