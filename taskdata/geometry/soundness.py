"""What of a geometry has a shape: parts without one are taken out and named, the rest stays to the last bit.

A ring needs an inside, a line two places, and every coordinate is a finite number of at most 360 degrees of longitude
and 90 of latitude (OGC 06-103r4 section 6.1; RFC 7946 section 3.1). A hole without an inside takes no ground out, so
that the polygon stays without it. A hole with a coordinate that is no number would have taken ground out: its polygon
goes with it, since without the hole it would say that there is ground to work.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.loops import fault_of

ONE_PLACE_DEGREES = 1e-8
"""A line no longer than this, about 1 mm, is one place."""

_NARROW = 1e-5
"""Degrees of area by degrees of length below which a ring may enclose nothing, and is looked at on its own."""

_NO_NUMBER = "a coordinate is not a number"
_BEYOND = "a latitude is beyond the pole"
_ROUND = "a longitude is beyond 360 degrees"
_ONE_PLACE = "all points of the line are one place"


class Left(NamedTuple):
    """Why a part was taken out, and its first place in degrees, None where that is not on Earth."""

    why: str
    place: tuple[float, float] | None


class Sound(NamedTuple):
    """What is left of a geometry, None where nothing is; and the parts that were taken out."""

    geometry: Any
    left_out: tuple[Left, ...]


def suspects(shapes: NDArray[Any]) -> NDArray[np.intp]:
    """Return the indices of geometries in degrees that may have parts without a shape; a quick look at all at once."""
    found = np.zeros(len(shapes), dtype=np.bool_)
    with np.errstate(all="ignore"):
        coordinates, index = shapely.get_coordinates(shapes, return_index=True)
        found[index[~_on_earth(coordinates)]] = True
        parts, index = _members(shapes)
        found[index[shapely.is_empty(parts)]] = True
        lines = shapely.get_dimensions(parts) == 1
        found[index[lines][~(shapely.length(parts[lines]) > ONE_PLACE_DEGREES)]] = True
        areal = shapely.get_dimensions(parts) == 2
        rings, owner = shapely.get_rings(parts[areal], return_index=True)
        if len(rings):
            wide = shapely.area(shapely.polygons(rings)) > _NARROW * shapely.length(rings)
            found[index[areal][owner[~wide]]] = True
    return np.flatnonzero(found)


def sound(geometry: Any) -> Sound:
    """Return a geometry in degrees without the parts that have no shape."""
    if geometry is None or geometry.is_empty:
        return Sound(None, ())
    if not hasattr(geometry, "geoms"):
        return _single(geometry)
    kept: list[Any] = []
    left_out: list[Left] = []
    for part in geometry.geoms:
        found = Sound(None, (Left("it is empty", None),)) if part.is_empty else sound(part)
        left_out += found.left_out
        if found.geometry is not None:
            kept.append(found.geometry)
    if not left_out:
        return Sound(geometry, ())
    return Sound(type(geometry)(kept) if kept else None, tuple(left_out))


def _members(shapes: NDArray[Any]) -> tuple[NDArray[Any], NDArray[np.intp]]:
    """Return the parts of geometries, those of collections within collections too, and whose they are."""
    parts, index = shapely.get_parts(shapes, return_index=True)
    while (shapely.get_type_id(parts) > 3).any():
        parts, inner = shapely.get_parts(parts, return_index=True)
        index = index[inner]
    return parts, index


def _on_earth(coordinates: NDArray[np.float64]) -> NDArray[np.bool_]:
    lon, lat = np.abs(coordinates).T
    return np.asarray((lon <= 360.0) & (lat <= 90.0))  # what is no number is neither


def _single(part: Any) -> Sound:
    coordinates = shapely.get_coordinates(part)
    if not np.isfinite(coordinates).all():
        return Sound(None, (_left(_NO_NUMBER, part),))
    if (np.abs(coordinates[:, 1]) > 90.0).any():
        return Sound(None, (_left(_BEYOND, part),))
    if (np.abs(coordinates[:, 0]) > 360.0).any():
        return Sound(None, (_left(_ROUND, part),))
    dimension = int(shapely.get_dimensions(part))
    if dimension == 1 and _extent(coordinates) <= ONE_PLACE_DEGREES:
        return Sound(None, (_left(_ONE_PLACE, part),))
    return _polygon(part) if dimension == 2 else Sound(part, ())


def _polygon(part: Any) -> Sound:
    why = _nothing(part.exterior)
    if why is not None:
        return Sound(None, (_left(f"its outline {why}", part),))
    reasons = ["is empty" if ring.is_empty else _nothing(ring) for ring in part.interiors]
    pairs = list(zip(part.interiors, reasons, strict=True))
    left = tuple(_left(f"a hole {why}", ring) for ring, why in pairs if why is not None)
    if not left:
        return Sound(part, ())
    holes = [ring for ring, why in pairs if why is None]
    return Sound(shapely.Polygon(part.exterior, holes), left)


def _left(why: str, part: Any) -> Left:
    coordinates = shapely.get_coordinates(part)
    usable = coordinates[_on_earth(coordinates)]
    return Left(why, (float(usable[0, 0]), float(usable[0, 1])) if len(usable) else None)


def _nothing(ring: Any) -> str | None:
    """Return why a ring has no inside, None where it has one."""
    fault = fault_of(shapely.get_coordinates(ring))
    return None if fault is None else fault.value


def _extent(coordinates: NDArray[np.float64]) -> float:
    return float(np.hypot(*(coordinates.max(axis=0) - coordinates.min(axis=0))))
