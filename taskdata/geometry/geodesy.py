"""Lengths, areas and directions on the WGS 84 ellipsoid, along geodesics.

Longitude and latitude are degrees WGS 84; longitudes may run past ±180, and edges may cross the antimeridian: an edge
is always the shortest way between its ends. A ring that goes round a pole encloses the polar cap: the signed area is
that of the side on the left of the ring, positive for the cap on the left, and negative for the smaller side where the
left side is more than half of the Earth.

Method: C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013): `geodesic_series` as far as they go, and
beyond that as PROJ carries it out, which is loaded only then. The error is below 0.1 mm in length; areas are rounded at
about 1e-4 m² for a field.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from taskdata.geometry.arrays import Floats, Points, Rings, as_points
from taskdata.geometry.geodesic_series import A, F, are_edges, are_near, edge_areas, geodesics, lengths, turn
from taskdata.geometry.rings import close

if TYPE_CHECKING:
    from pyproj import Geod

_ROUND_DEG = 180.0
"""More than that in longitude leads all round a pole."""
_RINGS = 1_024
"""How many rings are summed up at a time."""


@cache
def _proj() -> Geod:
    """Return what PROJ computes on the ellipsoid."""
    from pyproj import Geod  # noqa: PLC0415  # loading PROJ takes longer than reading a small data set

    return Geod(a=A, f=F)


def ring_area(ring: ArrayLike) -> float:
    """Return the signed area of a ring in m², counter-clockwise positive.

    Parameters
    ----------
    ring : array_like
        (n, 2) degrees, open or closed: both give the same area.

    Returns
    -------
    float
        0.0 for a ring without an area: fewer than three points, all of them equal, a coordinate that is not a finite
        number, or a latitude beyond a pole.
    """
    return float(ring_areas([ring])[0])


def ring_areas(rings: Rings) -> Floats:
    """Return the signed area of each of several rings in m², (n,) float64, as `ring_area` does for one."""
    found = [as_points(ring) for ring in rings]
    areas = np.zeros(len(found))
    large = [at for at, points in enumerate(found) if len(points) > 2]
    for first in range(0, len(large), _RINGS):
        here = large[first : first + _RINGS]
        areas[here] = _areas([found[at] for at in here])
    return areas


def _areas(rings: Sequence[Points]) -> Floats:
    """Return the signed areas of rings of three points at least, 0 of those that have none."""
    counts = np.array([len(ring) for ring in rings])
    starts = np.cumsum(counts) - counts
    points = np.concatenate(rings)
    lon, lat = points[:, 0].copy(), points[:, 1].copy()
    following = np.arange(1, len(lon) + 1)
    following[starts + counts - 1] = starts
    ends = lon, lat, lon[following], lat[following]
    near = np.logical_and.reduceat(are_edges(*ends), starts)
    with np.errstate(invalid="ignore"):
        near &= np.abs(np.add.reduceat(turn(lon, ends[2]), starts)) < _ROUND_DEG
    if near.all():
        under = edge_areas(*ends)
    else:
        edges, under = np.repeat(near, counts), np.zeros(len(lon))
        under[edges] = edge_areas(*(end[edges] for end in ends))
    areas = 0.0 - np.add.reduceat(under.astype(np.longdouble), starts).astype(np.float64)
    moves = np.logical_or.reduceat((ends[0] != ends[2]) | (ends[1] != ends[3]), starts)
    areas[~moves] = 0.0
    for at in np.flatnonzero(~near & moves).tolist():
        if _on_earth(rings[at]):
            area, _ = _proj().polygon_area_perimeter(*rings[at].T)
            areas[at] = float(area) + 0.0
    return areas


def ring_perimeter(ring: ArrayLike) -> float:
    """Return the length of a ring in metres, its closing edge included.

    Parameters
    ----------
    ring : array_like
        (n, 2) degrees, open or closed: both give the same length.

    Returns
    -------
    float
        0.0 for fewer than two points, or when a coordinate is not a finite number or a latitude is beyond a pole.
    """
    return float(ring_perimeters([ring])[0])


def ring_perimeters(rings: Rings) -> Floats:
    """Return the length of each of several rings in metres, (n,) float64, as `ring_perimeter` does for one."""
    found = [as_points(ring) for ring in rings]
    perimeters = np.zeros(len(found))
    sound = [at for at, points in enumerate(found) if len(points) > 1 and _on_earth(points)]
    for first in range(0, len(sound), _RINGS):
        here = sound[first : first + _RINGS]
        whole = [close(found[at]) for at in here]
        steps = _lengths(*(np.concatenate([ring[part] for ring in whole]) for part in (slice(-1), slice(1, None))))
        perimeters[here] = np.add.reduceat(steps, np.cumsum([0, *(len(ring) - 1 for ring in whole[:-1])]))
    return perimeters


def _lengths(first: Points, last: Points) -> Floats:
    """Return the distances from points to points, all on Earth."""
    ends = np.vstack([first.T, last.T])
    near = are_near(*ends)
    found = np.empty(len(first))
    found[near] = lengths(*ends[:, near])
    if not near.all():
        found[~near] = _proj().inv(*(side.copy() for side in ends[:, ~near]))[2]
    return found


def polygon_area(exteriors: Rings, interiors: Rings = ()) -> float:
    """Return the area of a polygon or of several in m², holes taken out.

    Parameters
    ----------
    exteriors, interiors : iterable of array_like
        Rings of (n, 2) degrees, in any direction. They are taken not to overlap, and the holes to lie inside.

    Returns
    -------
    float
        Never negative: 0.0 where the holes are larger than what surrounds them.
    """
    return float(polygon_areas([(list(exteriors), list(interiors))])[0])


def polygon_areas(polygons: Sequence[tuple[Sequence[ArrayLike], Sequence[ArrayLike]]]) -> Floats:
    """Return the area of each of several polygons in m², (n,) float64, as `polygon_area` does for one."""
    rings = [ring for polygon in polygons for part in polygon for ring in part]
    counts = [len(part) for polygon in polygons for part in polygon]
    sizes = np.split(np.abs(ring_areas(rings)), np.cumsum(counts)[:-1])
    sums = [float(part.sum()) for part in sizes[: len(counts)]]
    return np.asarray(np.maximum(np.array(sums[::2]) - np.array(sums[1::2]), 0.0))


def inverse(first: ArrayLike, last: ArrayLike) -> tuple[Floats, Floats]:
    """Return directions and distances from points to points.

    Parameters
    ----------
    first, last : array_like
        (n, 2) degrees; either may be one point, which then serves for all.

    Returns
    -------
    azimuths : Floats
        (n,) degrees clockwise from true north at `first`, in [0, 360); NaN where both points are one place.
    distances : Floats
        (n,) metres. Both are NaN where a coordinate is not a number on Earth.
    """
    start, end = np.broadcast_arrays(as_points(first), as_points(last))
    if len(start) == 0:
        return np.empty(0), np.empty(0)
    ends = np.vstack([start.T, end.T])
    near = are_near(*ends)
    azimuths, distances = np.empty(len(start)), np.empty(len(start))
    if near.any():
        found = geodesics(*ends[:, near])
        azimuths[near], distances[near] = found.azimuths, found.lengths
    if not near.all():
        there, _, far = _proj().inv(*(side.copy() for side in ends[:, ~near]))
        azimuths[~near], distances[~near] = there, far
    azimuths = azimuths % 360.0
    azimuths[azimuths >= 360.0] = 0.0
    azimuths[distances == 0.0] = np.nan
    return azimuths, distances


def azimuth(first: ArrayLike, last: ArrayLike) -> float:
    """Return the direction from one point to another at the first, degrees clockwise from true north in [0, 360).

    Parameters
    ----------
    first, last : array_like
        (2,) degrees.

    Returns
    -------
    float
        NaN when both points are one place, which has no direction, or when a coordinate is not a number on Earth.
    """
    azimuths, _ = inverse(first, last)
    return float(azimuths[0])


def segment_lengths(line: ArrayLike) -> Floats:
    """Return the length of each segment of a line in metres.

    Parameters
    ----------
    line : array_like
        (n, 2) degrees.

    Returns
    -------
    Floats
        (n - 1,) metres, empty for fewer than two points; NaN where an end is not a place on Earth.
    """
    points = as_points(line)
    if len(points) < 2:
        return np.empty(0)
    return inverse(points[:-1], points[1:])[1]


def line_length(line: ArrayLike) -> float:
    """Return the length of a line in metres.

    Parameters
    ----------
    line : array_like
        (n, 2) degrees.

    Returns
    -------
    float
        0.0 for fewer than two points, or when a coordinate is not a finite number or a latitude is beyond a pole.
    """
    points = as_points(line)
    return float(segment_lengths(points).sum()) if _on_earth(points) else 0.0


def destination(point: ArrayLike, azimuth: ArrayLike, distance: ArrayLike) -> Points:
    """Return where a geodesic ends.

    Parameters
    ----------
    point : array_like
        (2,) or (n, 2) degrees.
    azimuth : array_like
        Degrees clockwise from true north at the start, a number or (n,).
    distance : array_like
        Metres, a number or (n,); negative goes backwards.

    Returns
    -------
    Points
        (2,) when all three are single, else (n, 2): degrees, longitude in [-180, 180].
    """
    start = np.asarray(point, dtype=np.float64)
    lon, lat, direction, length = np.broadcast_arrays(
        start[..., 0], start[..., 1], np.asarray(azimuth, dtype=np.float64), np.asarray(distance, dtype=np.float64)
    )
    start_lon, start_lat, direction, length = (
        np.atleast_1d(values).astype(np.float64) for values in (lon, lat, direction, length)
    )
    end = _proj().fwd(start_lon, start_lat, direction, length, return_back_azimuth=False)
    points = np.column_stack([np.asarray(end[0]), np.asarray(end[1])])
    return points if lon.ndim else points[0]


def _on_earth(points: Points) -> bool:
    return bool(np.isfinite(points).all() and (np.abs(points[:, 1]) <= 90.0).all())
