"""Where a layer lies, as a box of degrees in which a few rows astray count for nothing; and how far boxes are apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Self

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import inverse
from taskdata.geometry.transform import is_projected

NEAR_M = 25_000.0
"""How near to each other the data of a farm lies (common practice); a guess has to bring a layer so near to it."""
_INNER = (2.0, 98.0)
"""Percentiles of the coordinates of a layer between which its box lies."""

_MANY = 20
"""From more boxes than these the nearest ones by degrees are measured alone."""


class Ground(NamedTuple):
    """The box of a layer, or of anything else on the farm, in degrees of WGS 84.

    Parameters
    ----------
    name : str
        What a person calls it.
    west, south, east, north : float
        The box; ``east`` is more than 180 where it crosses the antimeridian.
    system : str or None
        The system that it was brought from, as text for PROJ; None where none is stated, and it was in degrees.
    certain : bool
        Whether it is known to lie there, as a task data set or the log of a receiver is.
    """

    name: str
    west: float
    south: float
    east: float
    north: float
    system: str | None = None
    certain: bool = False

    @classmethod
    def around(cls, name: str, box: tuple[float, float, float, float]) -> Self:
        """Return the ground of what is known to lie in a box, whose west is larger than its east across 180 degrees."""
        west, south, east, north = box
        return cls(name, west, south, east + 360.0 * (west > east), north, certain=True)

    @property
    def middle(self) -> tuple[float, float]:
        """Longitude and latitude of the middle."""
        return (self.west + self.east) / 2.0, (self.south + self.north) / 2.0


def ground_of(name: str, lonlat: Points, system: str | None = None, *, certain: bool = False) -> Ground | None:
    """Return where the coordinates of a layer lie, None where none is on Earth."""
    points = lonlat[np.isfinite(lonlat).all(axis=1)]
    points = points[(np.abs(points[:, 0]) <= 180.0) & (np.abs(points[:, 1]) <= 90.0)]
    if len(points) == 0:
        return None
    lon, lat = points.T
    if np.ptp(lon) > 180.0:
        lon = np.where(lon < 0.0, lon + 360.0, lon)
    (west, east), (south, north) = np.percentile(lon, _INNER), np.percentile(lat, _INNER)
    return Ground(name, float(west), float(south), float(east), float(north), system, certain)


def gap_m(one: Ground, other: Ground) -> float:
    """Return how many metres two boxes are apart, 0 where they meet."""
    turn = 360.0 * round((one.middle[0] - other.middle[0]) / 360.0)
    lon = _nearest((one.west, one.east), (other.west + turn, other.east + turn))
    lat = _nearest((one.south, one.north), (other.south, other.north))
    if lon[0] == lon[1] and lat[0] == lat[1]:
        return 0.0
    return float(inverse([[lon[0], lat[0]]], [[lon[1], lat[1]]])[1][0])


def nearest(one: Ground, others: Sequence[Ground]) -> tuple[Ground, float] | None:
    """Return which of others is nearest, and how many metres it is away; None without any.

    All are compared by their degrees, and only those that can be the nearest are measured.
    """
    if len(others) > _MANY:
        gaps = _degrees_apart(one, others)
        others = [others[at] for at in np.argsort(gaps, kind="stable")[:_MANY]]
    found = [(other, gap_m(one, other)) for other in others]
    return min(found, key=lambda pair: pair[1], default=None)


def _degrees_apart(one: Ground, others: Sequence[Ground]) -> NDArray[np.float64]:
    """Return how far boxes are apart in degrees of latitude, those of longitude shortened as at the latitude of one."""
    west, south, east, north = np.array([other[1:5] for other in others], dtype=np.float64).T
    turn = 360.0 * np.round((one.middle[0] - (west + east) / 2.0) / 360.0)
    aside = np.maximum(np.maximum(west + turn - one.east, one.west - east - turn), 0.0)
    above = np.maximum(np.maximum(south - one.north, one.south - north), 0.0)
    return np.asarray(np.hypot(aside * np.cos(np.radians(one.middle[1])), above))


def agreed(others: Sequence[Ground], *, by_axes: bool = False) -> bool:
    """Return whether other data tells where the farm is, so that a single layer elsewhere is the wrong one.

    One place that is certain does, or two that lie near each other; else degrees do, which need no system, or
    ``by_axes`` a projection, whose axes are not swapped unnoticed.
    """
    pairs = ((one, two) for number, one in enumerate(others) for two in others[:number])
    alone = any(other.certain or (_is_projected(other) if by_axes else not _is_projected(other)) for other in others)
    return alone or any(gap_m(one, two) <= NEAR_M for one, two in pairs)


def _is_projected(other: Ground) -> bool:
    return other.system is not None and is_projected(other.system)


def _nearest(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    """Return the two values, one of each range, that are nearest to each other."""
    if one[1] < other[0]:
        return one[1], other[0]
    if other[1] < one[0]:
        return one[0], other[1]
    both = max(one[0], other[0])
    return both, both
