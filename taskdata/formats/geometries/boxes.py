"""Boxes in degrees as shapes."""

from __future__ import annotations

from typing import Any

import shapely


def box_shape(west: float, south: float, east: float, north: float) -> Any:
    """Return a box as a shape, in two parts where it lies across 180 degrees."""
    if west > east:
        return shapely.MultiPolygon([shapely.box(west, south, 180.0, north), shapely.box(-180.0, south, east, north)])
    if west == east and south == north:
        return shapely.Point(west, south)
    if west == east or south == north:
        return shapely.LineString([(west, south), (east, north)])
    return shapely.box(west, south, east, north)
