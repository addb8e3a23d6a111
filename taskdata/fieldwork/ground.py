"""Fields in a local plane: the ground that work is planned on.

Metres, x east and y north.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, TypeAlias

import numpy as np
import shapely

from taskdata.geometry.arrays import Points
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.holes import group
from taskdata.geometry.rings import close
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, Coordinates

Ground: TypeAlias = Any
"""A shapely polygon or multi-polygon in a local plane."""


def plane_of(field: Field) -> LocalPlane | None:
    """Return the local plane about everything that lies in a field, None where nothing does."""
    return LocalPlane.about(every_place(field))


def every_place(field: Field) -> list[Coordinates]:
    """Return all coordinates of a field, boundary first; of a field with a boundary nothing else."""
    found = [ring for area in field.boundaries for ring in area.exteriors]
    if found:
        return found
    found = [ring for area in field.areas for ring in area.exteriors]
    found += [line.points for line in field.lines] + [line.points for line in field.guidance]
    return [*found, *(np.array([[point.lon, point.lat]]) for point in field.points)]


def ground_of(areas: Iterable[Area], plane: LocalPlane) -> Ground | None:
    """Return the ground that some areas cover, holes out; None where they have no polygon to show."""
    polygons = []
    for area in areas:
        outer = [ring for ring in area.exteriors if _is_ring(ring)]
        inner = [ring for ring in area.interiors if _is_ring(ring)]
        for exterior, holes in group(outer, inner).groups:
            rings = [plane.forward(close(ring)) for ring in (exterior, *holes)]
            polygons.append(shapely.make_valid(shapely.Polygon(rings[0], rings[1:])))
    whole = only_polygons(shapely.union_all(np.array(polygons, dtype=object))) if polygons else None
    return None if whole is None or whole.is_empty else whole


def shrunk(ground: Ground, distance: float, tolerance: float = 0.01) -> Ground:
    """Return the ground that lies at least ``distance`` metres from its edge; arcs are within ``tolerance``."""
    if distance <= 0.0:
        return ground
    quarter = math.pi / 2.0 / math.acos(max(0.0, 1.0 - tolerance / distance))
    return only_polygons(shapely.buffer(ground, -distance, quad_segs=max(4, math.ceil(quarter / 2.0))))


def only_polygons(geometry: Ground) -> Ground:
    """Return the polygons of a geometry, without lines and points that it may hold besides."""
    parts = shapely.get_parts(shapely.get_parts(geometry))
    kept = parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]
    return kept[0] if len(kept) == 1 else shapely.multipolygons(kept)


def rings_of(ground: Ground) -> list[Points]:
    """Return every ring of a ground, outer ones and those of holes, (n, 2) metres each."""
    rings: Sequence[Any] = shapely.get_rings(shapely.get_parts(ground))
    return [np.asarray(shapely.get_coordinates(ring)) for ring in rings]


def _is_ring(ring: Coordinates) -> bool:
    return len(ring) >= 3 and bool(np.isfinite(ring).all())
