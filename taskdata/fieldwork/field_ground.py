"""Fields in a local plane: the ground that work is planned on.

Metres, x east and y north.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, TypeAlias

import numpy as np
import shapely

from taskdata.geometry.areas import in_plane
from taskdata.geometry.arrays import Points
from taskdata.geometry.loops import only_polygons
from taskdata.geometry.plane import LocalPlane
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
    return in_plane(areas, plane).shape


def shrunk(ground: Ground, distance: float, tolerance: float = 0.01) -> Ground:
    """Return the ground that lies at least ``distance`` metres from its edge; arcs are within ``tolerance``."""
    if distance <= 0.0:
        return ground
    quarter = math.pi / 2.0 / math.acos(max(0.0, 1.0 - tolerance / distance))
    return only_polygons(shapely.buffer(ground, -distance, quad_segs=max(4, math.ceil(quarter / 2.0))))


def rings_of(ground: Ground) -> list[Points]:
    """Return every ring of a ground, outer ones and those of holes, (n, 2) metres each."""
    rings: Sequence[Any] = shapely.get_rings(shapely.get_parts(ground))
    return [np.asarray(shapely.get_coordinates(ring)) for ring in rings]
