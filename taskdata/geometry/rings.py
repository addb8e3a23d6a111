"""Rings: closing, direction, continuous longitudes.

Longitude and latitude are degrees. Between two neighbouring points a ring goes the shorter way round, so that
longitudes which jump by more than 180 degrees cross the antimeridian.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from taskdata.geometry.arrays import Floats, Points, as_points


def is_closed(ring: ArrayLike) -> bool:
    """Return whether the last of at least two points is exactly the first."""
    points = as_points(ring)
    return len(points) > 1 and bool((points[0] == points[-1]).all())


def close(ring: ArrayLike) -> Points:
    """Return the (n, 2) ring with its first point repeated at the end, unless it is there already."""
    points = as_points(ring)
    if len(points) == 0 or is_closed(points):
        return points
    return np.vstack([points, points[:1]])


def open_ring(ring: ArrayLike) -> Points:
    """Return the (n, 2) ring without the repetition of its first point at the end."""
    points = as_points(ring)
    return points[:-1] if is_closed(points) else points


def started_at(ring: ArrayLike, first: ArrayLike) -> Points:
    """Return the (n, 2) open ring from the given point on, unchanged where it is not one of its points."""
    points = as_points(ring)
    found = np.flatnonzero((points == np.asarray(first)).all(axis=1))
    return np.roll(points, -int(found[0]), axis=0) if len(found) else points


def distinct_count(ring: ArrayLike) -> int:
    """Return how many different places a ring has; longitudes 360 degrees apart are one place."""
    points = wrap(ring).copy()
    points[points[:, 0] == 180.0, 0] = -180.0
    ordered = points[np.lexsort(points.T)]
    return min(len(ordered), 1) + int((ordered[1:] != ordered[:-1]).any(axis=1).sum())


def wrap(points: ArrayLike) -> Points:
    """Return the (n, 2) points with longitudes in [-180, 180]; those that are keep their exact value."""
    array = as_points(points)
    beyond = np.isfinite(array[:, 0]) & (np.abs(array[:, 0]) > 180.0)
    if not beyond.any():
        return array
    array = array.copy()
    array[beyond, 0] -= 360.0 * np.rint(array[beyond, 0] / 360.0)
    return array


def turns(lon: Floats) -> Floats:
    """Return how many whole turns to add to each of (n,) longitudes so that no step exceeds 180 degrees."""
    if len(lon) < 2 or float(lon.max() - lon.min()) <= 180.0:
        return np.zeros(len(lon))
    lon = np.where(np.isfinite(lon), lon, np.nan)
    steps = np.nan_to_num(np.rint(np.diff(lon) / 360.0))
    return np.concatenate([[0.0], -np.cumsum(steps)])


def unwrap(ring: ArrayLike) -> Points:
    """Return the points with continuous longitudes, which then may run past ±180.

    Parameters
    ----------
    ring : array_like
        (n, 2) degrees, of a ring or of a line.

    Returns
    -------
    Points
        (n, 2); the first point, and all points on its side of the antimeridian, keep their exact longitude.
    """
    points = as_points(ring)
    if not len(points) or float(points[:, 0].max() - points[:, 0].min()) <= 180.0:
        return points
    shift = turns(points[:, 0])
    if not shift.any():
        return points
    return np.column_stack([points[:, 0] + 360.0 * shift, points[:, 1]])


def winding(ring: ArrayLike) -> int:
    """Return how often a ring goes round the poles, eastward positive; 0 for a ring that contains no pole."""
    lon = as_points(ring)[:, 0]
    if len(lon) < 2 or float(lon.max() - lon.min()) <= 180.0 or not np.isfinite(lon).all():
        return 0
    lon = close(ring)[:, 0]
    return int(turns(lon)[-1] + np.rint((lon[-1] - lon[0]) / 360.0))


def plane_area(ring: ArrayLike) -> float:
    """Return the signed area of a ring in square degrees, counter-clockwise positive.

    A ring round a pole is closed over the pole on its side of the equator.
    """
    points = open_ring(ring)
    if len(points) < 3 or not np.isfinite(points).all():
        return 0.0
    around = winding(points)
    points = unwrap(close(points))
    if around:
        pole = 90.0 if points[:, 1].mean() >= 0.0 else -90.0
        lid = [[points[-1, 0], pole], [points[0, 0], pole]]
        points = np.vstack([points, lid, points[:1]])
    x, y = (points - points[0]).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2.0)


def orient(ring: ArrayLike, ccw: bool = True) -> Points:
    """Return the ring running counter-clockwise, or clockwise, from the same first point.

    Parameters
    ----------
    ring : array_like
        (n, 2) degrees, open or closed, and stays so.
    ccw : bool
        The direction wanted, seen with east to the right and north up.

    Returns
    -------
    Points
        (n, 2); unchanged where the ring has no area.
    """
    points = as_points(ring)
    area = plane_area(points)
    if area == 0.0 or (area > 0.0) == ccw:
        return points
    return points[::-1] if is_closed(points) else np.vstack([points[:1], points[:0:-1]])
