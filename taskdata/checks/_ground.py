"""Metres on the ground for shapes of the size of a farm, cheap enough for millions of points.

A degree of longitude and one of latitude count as many metres as they have in the middle of the shape (radii of
curvature of WGS 84). Over a few kilometres that is right to a few parts in ten thousand, which decides no tolerance of
a rule; since it only stretches, shapes keep how they lie to each other.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.findings import Place
from taskdata.geometry.arrays import Floats, Points

SEMI_MAJOR = 6_378_137.0
ECCENTRICITY_2 = 0.00669437999014
"""Semi-major axis and first eccentricity squared of WGS 84."""
HECTARE = 10_000.0


def degree_metres(lat: Any) -> tuple[Any, Any]:
    """Return how many metres a degree of longitude and one of latitude have at latitudes in degrees."""
    angle = np.radians(lat)
    with np.errstate(invalid="ignore"):
        flat = 1.0 - ECCENTRICITY_2 * np.sin(angle) ** 2
        root = np.sqrt(flat)
        east = np.radians(SEMI_MAJOR / root * np.cos(angle))
    return east, np.radians(SEMI_MAJOR * (1.0 - ECCENTRICITY_2) / (flat * root))


def steps(before: Points, after: Points) -> Points:
    """Return (n, 2) metres east and north from points to points, longitudes the short way round; NaN off the Earth."""
    with np.errstate(invalid="ignore"):
        turn = (after[:, 0] - before[:, 0] + 180.0) % 360.0 - 180.0
        rise = after[:, 1] - before[:, 1]
    east, north = degree_metres((before[:, 1] + after[:, 1]) / 2.0)
    found = np.column_stack([turn * east, rise * north])
    found[~(on_earth(before) & on_earth(after))] = np.nan
    return found


def on_earth(points: Points) -> NDArray[np.bool_]:
    """Tell which of (n, 2) points are a longitude and a latitude."""
    with np.errstate(invalid="ignore"):
        return np.asarray((np.abs(points[:, 0]) <= 180.0) & (np.abs(points[:, 1]) <= 90.0))


@dataclass(frozen=True)
class Ruler:
    """Metres east and north of a place, in degrees WGS 84."""

    lon: float
    lat: float

    @cached_property
    def scale(self) -> Floats:
        """Metres of a degree of longitude and of latitude."""
        return np.array(degree_metres(self.lat), dtype=np.float64)

    def points(self, lonlat: Any) -> Points:
        """Return (n, 2) metres for (n, 2) degrees."""
        array = np.asarray(lonlat, dtype=np.float64).reshape(-1, 2)
        turn = (array[:, 0] - self.lon + 180.0) % 360.0 - 180.0
        return np.asarray(np.column_stack([turn, array[:, 1] - self.lat]) * self.scale)

    def lonlat(self, metres: Any) -> tuple[float, float]:
        """Return longitude and latitude of one place in metres."""
        east, north = (np.asarray(metres, dtype=np.float64) / self.scale).tolist()
        return (self.lon + east + 180.0) % 360.0 - 180.0, self.lat + north

    def shape(self, shape: Any) -> Any:
        """Return a shape in metres; its longitudes are continuous, and it is moved as a whole to the nearer side."""
        turns = 0.0 if shapely.is_empty(shape) else np.rint((self.lon - shapely.bounds(shape)[[0, 2]].mean()) / 360.0)
        middle = np.array([self.lon - 360.0 * turns, self.lat])
        return shapely.transform(shape, lambda points: (points - middle) * self.scale)


def spot(place: Place, location: tuple[float, float] | Any) -> Place:
    """Return a place with a longitude and a latitude."""
    lon, lat = (float(value) for value in location)
    return replace(place, location=(lon, lat))


def inside_point(shape: Any) -> Any:
    """Return (x, y) of a point inside the largest part of a shape."""
    parts = shapely.get_parts(shape)
    largest = parts[int(np.argmax(shapely.area(parts)))] if len(parts) else shape
    return shapely.get_coordinates(shapely.point_on_surface(largest))[0]
