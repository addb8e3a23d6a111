"""Single rings: what is wrong with one, and the ground that its loops enclose.

Rings are (n, 2) degrees, open or closed, on either side of the antimeridian, round a pole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import Enum
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import distinct_count, unwrap, winding

Polygon: TypeAlias = tuple[Points, list[Points]]
"""An exterior ring and its holes, each (n, 2)."""


class RingFault(Enum):
    """Why a ring encloses nothing, cuts nothing out, or is not as it stands."""

    NO_NUMBER = "has a coordinate that is not a number"
    FEW_PLACES = "has fewer than three different points"
    OFF_EARTH = "has a latitude beyond a pole"
    NO_AREA = "encloses no area"
    CROSSING = "crosses or touches itself"
    OUTSIDE = "is a hole that lies in no outer ring"
    FAR_OFF = "lies halfway round the Earth"


SHAPELESS = frozenset({RingFault.NO_NUMBER, RingFault.FEW_PLACES})
"""What no layer can show."""

NOTHING = SHAPELESS | {RingFault.OFF_EARTH, RingFault.NO_AREA}
"""What is no ground."""

_BLOCK = 2_048
"""How many rings are made at a time, so that their points are copied some at a time."""
FLAT_M = 0.01
"""Metres of mean width below which the hull of a ring has no area: 1 cm is the step of a position in a binary file."""

_DEGREE_M = 111_320.0
"""Metres of a degree, roughly."""


def fault_of(ring: ArrayLike) -> RingFault | None:
    """Return why a ring encloses nothing, None where it does; whether it crosses itself is not asked."""
    points = as_points(ring)
    if not np.isfinite(points).all():
        return RingFault.NO_NUMBER
    if _few_places(points):
        return RingFault.FEW_PLACES
    if (np.abs(points[:, 1]) > 90.0).any():
        return RingFault.OFF_EARTH
    return RingFault.NO_AREA if _is_flat(points) else None


def ring_shapes(rings: Sequence[Points]) -> NDArray[Any]:
    """Return a polygon of each of many rings, (n,), in the coordinates that they have.

    Each ring needs three points at least.
    """
    shapes = np.empty(len(rings), dtype=object)
    for start in range(0, len(rings), _BLOCK):
        part = rings[start : start + _BLOCK]
        numbers = np.repeat(np.arange(len(part)), [len(ring) for ring in part])
        shapes[start : start + _BLOCK] = shapely.polygons(shapely.linearrings(np.concatenate(part), indices=numbers))
    return shapes


def crosses_itself(ring: Points) -> bool:
    """Return whether a ring of three points or more, in metres of a plane, crosses or touches itself."""
    return not bool(shapely.is_valid(ring_shapes([ring])[0]))


def is_simple(ring: ArrayLike) -> bool:
    """Return whether a ring has three different places and neither crosses nor touches itself."""
    points = as_points(ring)
    if not np.isfinite(points).all() or _few_places(points):
        return False
    plane = _plane_of_polar(points)
    laid = unwrap(points) if plane is None else plane.forward(points)
    return bool(np.isfinite(laid).all() and shapely.is_valid(shapely.Polygon(laid)))


def loops(ring: ArrayLike) -> list[Points]:
    """Return outer rings, closed, (n, 2) degrees, of all the ground that a ring encloses which may cross itself."""
    points = as_points(ring)
    if fault_of(points) in NOTHING:
        return []
    plane = _plane_of_polar(points)
    laid = unwrap(points) if plane is None else plane.forward(points)
    found = [outer for outer, _ in polygons_of(mended(laid))]
    return found if plane is None else [plane.inverse(outer) for outer in found]


def only_polygons(geometry: Any) -> Any:
    """Return the polygons of a geometry, without lines and points that it may hold besides."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    kept = parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
    return kept[0] if len(kept) == 1 else shapely.multipolygons(kept)


def polygons_of(geometry: Any) -> list[Polygon]:
    """Return the polygons of a geometry as closed rings, in the coordinates it has."""
    parts = shapely.get_parts(shapely.get_parts(geometry)) if geometry is not None else ()
    found: list[Polygon] = []
    for part in parts:
        if shapely.get_type_id(part) == shapely.GeometryType.POLYGON and not part.is_empty:
            outer, *holes = (np.asarray(shapely.get_coordinates(ring)) for ring in shapely.get_rings(part))
            found.append((outer, holes))
    return found


def mended(ring: Points) -> Any:
    """Return all that the loops of a ring enclose, in the layout that it has."""
    shape = shapely.Polygon(ring)
    if shapely.is_valid(shape):
        return shape
    return only_polygons(shapely.make_valid(shape, method="structure", keep_collapsed=False))


def _plane_of_polar(points: Points) -> LocalPlane | None:
    """Return the plane in which a ring that goes round a pole is laid out, None for all others."""
    return LocalPlane.centred_on(points) if winding(points) else None


def _few_places(points: Points) -> bool:
    """Tell whether there are fewer than three different places."""
    if len(points) < 3:
        return True
    if (np.abs(points[:, 0]) >= 180.0).any():
        return distinct_count(points) < 3
    other = (points != points[0]).any(axis=1)
    second = points[int(np.argmax(other))]
    return not bool((other & (points != second).any(axis=1)).any())


def _is_flat(points: Points) -> bool:
    """Tell whether the hull of a ring has no area to speak of, as where all its points lie on a line."""
    if winding(points):
        return False
    laid = unwrap(points)
    scale = _DEGREE_M * np.array([math.cos(math.radians(float(np.abs(laid[:, 1]).min()))), 1.0])
    x, y = ((laid - laid[0]) * scale).T
    area = abs(float(x[:-1] @ y[1:] - x[1:] @ y[:-1])) / 2.0
    if area >= FLAT_M * float(x.max() - x.min() + y.max() - y.min()):
        return False
    hull = shapely.convex_hull(shapely.MultiPoint(np.column_stack([x, y])))
    return bool(shapely.area(hull) < FLAT_M * shapely.length(hull) / 2.0)
