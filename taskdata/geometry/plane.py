"""A local plane for metric work on one field.

A transverse Mercator projection with scale 1 on the meridian through the middle of the field. It is conformal: angles
are true, and lengths are too long by the factor 1 + x²/2R², where x is the distance east or west of the middle and R
the radius of the Earth. That bounds the error, at every latitude:

======================  ======================  ===================
field, east to west     lengths, relative       area, relative
======================  ======================  ===================
2 km                    below 1.3e-8            below 1e-8
5 km                    below 8e-8              below 6e-8
10 km                   below 3.2e-7 (3.2 mm)   below 2.2e-7
======================  ======================  ===================

Lengths at the eastern or western edge, areas of a square around the middle. A geodesic is not quite straight in the
plane: it bends off by less than 1 mm within 5 km.
Figures that are shown go through `taskdata.geometry.geodesy`; the plane is for shapes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from taskdata.dataclass import dataclass
from taskdata.geometry import transverse_mercator
from taskdata.geometry.arrays import Points, as_points

_HALF_TURN = 180.0
_HALVINGS = 50


@dataclass(frozen=True, slots=True)
class LocalPlane:
    """A plane in metres, east and north of its origin.

    Parameters
    ----------
    lon, lat : float
        The origin in degrees WGS 84.
    """

    lon: float
    lat: float

    @classmethod
    def centred_on(cls, lonlat: ArrayLike) -> LocalPlane:
        """Return the plane whose origin is the middle of the extent of some points.

        Parameters
        ----------
        lonlat : array_like
            (n, 2) degrees. They may lie on both sides of the antimeridian or round a pole. Points that are not a
            place on Earth do not count.

        Raises
        ------
        ValueError
            When no point is a place on Earth.
        """
        points = as_points(lonlat)
        points = points[np.isfinite(points).all(axis=1) & (np.abs(points[:, 1]) <= 90.0)]
        if len(points) == 0:
            raise ValueError("a local plane needs at least one point on Earth")
        rough = cls(*_mean_direction(points))
        local = rough.forward(points)
        local = local[np.isfinite(local).all(axis=1)]
        if len(local) == 0:
            return rough
        middle = rough.inverse((local.min(axis=0) + local.max(axis=0)) / 2.0)[0]
        return cls(float(middle[0]), float(middle[1]))

    @classmethod
    def about(cls, parts: Sequence[ArrayLike]) -> LocalPlane | None:
        """Return the plane about some sequences of points, see `centred_on`; None where none of them is on Earth."""
        points = [as_points(part) for part in parts]
        if not any((np.isfinite(part).all(axis=1) & (np.abs(part[:, 1]) <= 90.0)).any() for part in points):
            return None
        return cls.centred_on(np.vstack(points))

    def forward(self, lonlat: ArrayLike) -> Points:
        """Return (n, 2) metres east and north of the origin for (n, 2) degrees; NaN where there is no answer."""
        return transverse_mercator.forward(as_points(lonlat), self.lon, self.lat)

    def inverse(self, metres: ArrayLike) -> Points:
        """Return (n, 2) degrees, longitude in [-180, 180], for (n, 2) metres; NaN where there is no answer."""
        return transverse_mercator.inverse(as_points(metres), self.lon, self.lat)


def laid_each(lines: Sequence[Points]) -> list[Points]:
    """Return lines in metres, each in a plane whose meridian runs through its own middle, all at once.

    Parameters
    ----------
    lines : sequence of Points
        (n, 2) degrees, of a point at least each.

    Returns
    -------
    list of Points
        (n, 2) metres east of that meridian and north of the equator; NaN where there is no answer.
    """
    if not lines:
        return []
    starts = np.cumsum([0, *map(len, lines)])
    points = np.concatenate(lines)
    first = np.repeat(points[starts[:-1], 0], np.diff(starts))
    away = np.remainder(points[:, 0] - first + _HALF_TURN, 2.0 * _HALF_TURN) - _HALF_TURN
    ends = np.minimum.reduceat(away, starts[:-1]), np.maximum.reduceat(away, starts[:-1])
    flat = transverse_mercator.forward(points, first + np.repeat((ends[0] + ends[1]) / 2.0, np.diff(starts)), 0.0)
    return [flat[start:stop] for start, stop in pairwise(starts.tolist())]


def _mean_direction(points: Points) -> tuple[float, float]:
    """Return longitude and latitude of the mean of the points as directions from the centre of the Earth."""
    lon, lat = np.radians(points.T)
    x, y, z = np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)
    mean_x, mean_y, mean_z = (float(axis.mean()) for axis in (x, y, z))
    return (
        float(np.degrees(np.arctan2(mean_y, mean_x))),
        float(np.degrees(np.arctan2(mean_z, np.hypot(mean_x, mean_y)))),
    )


def with_antimeridian(lonlat: ArrayLike) -> Points:
    """Return a line with a point where each of its straight parts crosses 180 degrees.

    Formats that cut lines there (RFC 7946 section 3.1.9) interpolate latitudes linearly, which puts the cut of a line
    of 400 m that runs east at 60 degrees of latitude 5 mm beside the straight line on the ground.

    Parameters
    ----------
    lonlat : array_like
        (n, 2) degrees, a line of at most some kilometres.

    Returns
    -------
    Points
        (m, 2); each new point has the longitude 180 with the sign of the point before it.
    """
    points = as_points(lonlat)
    jumps = np.flatnonzero(np.abs(np.diff(points[:, 0])) > _HALF_TURN)
    if not len(jumps):
        return points
    plane = LocalPlane.centred_on(points)
    flat = plane.forward(points)
    added = []
    for jump in jumps:
        start, step, side = flat[jump], flat[jump + 1] - flat[jump], math.copysign(_HALF_TURN, points[jump, 0])
        low, high = 0.0, 1.0
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            beyond = plane.inverse(start + middle * step)[0, 0] * side < 0.0
            low, high = (low, middle) if beyond else (middle, high)
        added.append([side, plane.inverse(start + low * step)[0, 1]])
    return np.insert(points, jumps + 1, added, axis=0)
