"""Which of several areas something lies in, or comes nearest to, in metres and up to a stated limit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.areas import Ringed, in_plane
from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.loops import fault_of
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import unwrap, winding

NEAR_M = 1000.0
"""Metres within which a line or point beside a field may still belong to it (common practice: tram lines and guidance
lines are drawn on past the edge, marks stand on the lane beside it). What lies farther off belongs to no field."""

_DEGREE_M = 110_500.0
"""Metres of a degree of latitude at least, and of one of longitude at the equator."""

_STEEP = 89.0
"""Degrees of latitude from which every longitude is near."""


@dataclass(frozen=True, slots=True)
class Near:
    """The area that was found: its position, and how many metres it is away, 0 where something lies in it."""

    index: int
    distance_m: float


@dataclass(frozen=True, eq=False)
class Site:
    """An area on the ground.

    Parameters
    ----------
    plane : LocalPlane
    shape : shapely geometry
        Valid, in metres of the plane.
    extent : tuple of float
        West, south, east, north in degrees; west is below east, which may be above 180.
    """

    plane: LocalPlane
    shape: Any
    extent: tuple[float, float, float, float]

    @classmethod
    def of(cls, parts: Sequence[Ringed]) -> Site | None:
        """Return the area of some rings in a plane of its own, None where they enclose nothing."""
        rings = [as_points(ring) for part in parts for ring in part.exteriors]
        rings = [ring for ring in rings if fault_of(ring) is None]
        if not rings:
            return None
        plane = LocalPlane.centred_on(np.vstack(rings))
        shape = in_plane(parts, plane).shape
        return None if shape is None else cls(plane, shape, extent_of(rings))

    def distance(self, geometry: Any) -> float:
        """Return the metres to a geometry in degrees, 0 where they meet; see `in_metres`."""
        return float(shapely.distance(self.shape, in_metres(geometry, self.plane)))

    def common(self, geometry: Any) -> float:
        """Return how much of a geometry in degrees lies in the area: m² of polygons, metres of lines, 0 of points."""
        moved = in_metres(geometry, self.plane)
        inside = shapely.intersection(self.shape, moved if shapely.is_valid(moved) else shapely.make_valid(moved))
        return float(shapely.area(inside)) or float(shapely.length(inside))


class Sites:
    """Several areas, any of which may be missing, to find the one that something belongs to.

    Parameters
    ----------
    members : iterable of sequence of Ringed
        The polygons of each area, rings in degrees.
    """

    def __init__(self, members: Iterable[Sequence[Ringed]]) -> None:
        self._members = list(members)

    @cached_property
    def sites(self) -> list[Site | None]:
        """Each area in its plane, made when something is looked for; None where it encloses nothing."""
        return [Site.of(parts) for parts in self._members]

    @cached_property
    def known(self) -> NDArray[np.intp]:
        """Positions of the areas that enclose ground."""
        return np.array([index for index, site in enumerate(self.sites) if site is not None], dtype=np.intp)

    @cached_property
    def _extents(self) -> NDArray[np.float64]:
        found = [site.extent for site in self.sites if site is not None]
        return np.array(found, dtype=np.float64).reshape(-1, 4)

    def nearest(self, geometry: Any, limit_m: float = NEAR_M) -> Near | None:
        """Return the area that a geometry lies in, or the nearest within a limit, None where there is none.

        Of several that it lies in, the one with most of it; of equals, as for a point, the first.

        Parameters
        ----------
        geometry : shapely geometry
            Degrees, longitudes continuous or cut at the antimeridian.
        limit_m : float
            Metres on the ground.
        """
        found = []
        for index in self._within_reach(geometry, limit_m):
            site = self.sites[index]
            distance = np.inf if site is None else site.distance(geometry)
            if site is not None and distance <= limit_m:
                found.append((distance, -site.common(geometry) if distance == 0.0 else 0.0, index))
        return Near(min(found)[2], min(found)[0]) if found else None

    def _within_reach(self, geometry: Any, limit_m: float) -> list[int]:
        """Return the areas whose extent comes as near as the limit to that of a geometry."""
        bounds = shapely.bounds(geometry)
        if not len(self._extents) or not np.isfinite(bounds).all():
            return []
        west, south, east, north = self._extents.T
        high = np.minimum(np.maximum(np.abs([south, north]).max(axis=0), np.abs(bounds[[1, 3]]).max()), 90.0)
        up = limit_m / _DEGREE_M
        steep = high + up >= _STEEP
        along = up / np.cos(np.radians(np.where(steep, 0.0, high + up)))
        turn = (bounds[0] - west) % 360.0  # how far the geometry begins east of the extent
        beside = (turn <= east - west + along) | (turn >= 360.0 - (bounds[2] - bounds[0]) - along)
        level = (bounds[3] >= south - up) & (bounds[1] <= north + up)
        return self.known[level & (beside | steep)].tolist()  # type: ignore[no-any-return]


def in_metres(geometry: Any, plane: LocalPlane) -> Any:
    """Return a geometry in degrees in metres of a plane; its edges are straight there.

    Of one that reaches farther than the plane, half way round the Earth, only the points within the plane are left.
    """
    points = plane.forward(shapely.get_coordinates(geometry))
    sound = np.isfinite(points).all(axis=1)
    return shapely.transform(geometry, lambda _: points) if sound.all() else shapely.multipoints(points[sound])


def extent_of(rings: Sequence[Points]) -> tuple[float, float, float, float]:
    """Return west, south, east and north of rings in degrees; west is below east, which may be above 180.

    What goes round a pole reaches from -180 to 180 and to that pole.
    """
    laid = [unwrap(ring) for ring in rings]
    first = float(laid[0][:, 0].mean())
    laid = [ring + np.array([360.0 * round((first - float(ring[:, 0].mean())) / 360.0), 0.0]) for ring in laid]
    points = np.vstack(laid)
    (west, south), (east, north) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    if any(winding(ring) for ring in rings):
        return (-180.0, south, 180.0, 90.0) if south + north > 0.0 else (-180.0, -90.0, 180.0, north)
    return west, south, east, north


def line_of(points: ArrayLike) -> Any:
    """Return a shapely line of (n, 2) points, or a point where there is only one; at least one is needed."""
    array: Points = as_points(points)
    return shapely.LineString(array) if len(array) > 1 else shapely.Point(array[0])
