"""Metres east and north between neighbouring points, cheap enough for millions of them.

A degree of longitude and one of latitude count as many metres as they have in the middle between two points (radii of
curvature of WGS 84): against the geodesic that is off by less than 1e-6 of a step of 1 km below 80 degrees of latitude.
Nearer to a pole the geodesic itself is taken. Shapes are measured in a plane (`taskdata.geometry.plane`), figures that
are shown along geodesics (`taskdata.geometry.geodesy`).
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import inverse

SEMI_MAJOR = 6_378_137.0
ECCENTRICITY_2 = 0.00669437999014
"""Semi-major axis and first eccentricity squared of WGS 84."""

_BLOCK = 32_768
"""How many steps are found at a time, so that what is needed on the way stays small and near."""
POLAR = 80.0
"""Degrees of latitude beyond which degrees of longitude are too short to measure by."""


def degree_metres(lat: Any) -> tuple[Any, Any]:
    """Return how many metres a degree of longitude and one of latitude have at latitudes in degrees."""
    angle = np.radians(lat)
    with np.errstate(invalid="ignore"):
        flat = 1.0 - ECCENTRICITY_2 * np.sin(angle) ** 2
        root = np.sqrt(flat)
        east = np.radians(SEMI_MAJOR / root * np.cos(angle))
    return east, np.radians(SEMI_MAJOR * (1.0 - ECCENTRICITY_2) / (flat * root))


def on_earth(points: Points) -> NDArray[np.bool_]:
    """Tell which of (n, 2) points are a longitude from -180 to 180 and a latitude."""
    with np.errstate(invalid="ignore"):
        return np.asarray((np.abs(points[:, 0]) <= 180.0) & (np.abs(points[:, 1]) <= 90.0))


def steps(before: Points, after: Points) -> Points:
    """Return the steps from points to points.

    Parameters
    ----------
    before, after : Points
        (n, 2) degrees each.

    Returns
    -------
    Points
        (n, 2) metres east and north, longitudes the short way round; NaN off the Earth. Near a pole, east is at right
        angles to the direction of north at ``before``.
    """
    found = np.empty((len(before), 2))
    for start in range(0, len(before), _BLOCK):
        part = slice(start, start + _BLOCK)
        found[part] = _steps(before[part], after[part])
    return found


def _steps(before: Points, after: Points) -> Points:
    with np.errstate(invalid="ignore"):
        turn = (after[:, 0] - before[:, 0] + 180.0) % 360.0 - 180.0
        rise = after[:, 1] - before[:, 1]
        polar = np.flatnonzero(np.maximum(np.abs(before[:, 1]), np.abs(after[:, 1])) > POLAR)
    east, north = degree_metres((before[:, 1] + after[:, 1]) / 2.0)
    found = np.column_stack([turn * east, rise * north])
    if len(polar):
        azimuths, distances = inverse(before[polar], after[polar])
        angles = np.radians(np.where(distances == 0.0, 0.0, azimuths))
        found[polar] = np.column_stack([distances * np.sin(angles), distances * np.cos(angles)])
    found[~(on_earth(before) & on_earth(after))] = np.nan
    return found
