"""Places of findings, and what else rules share of the ground."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from taskdata.findings import Place
from taskdata.geometry.metres import on_earth, steps

__all__ = ["HECTARE", "inside_point", "on_earth", "spot", "steps"]

HECTARE = 10_000.0


def spot(place: Place, location: tuple[float, float] | Any) -> Place:
    """Return a place with a longitude and a latitude."""
    lon, lat = (float(value) for value in location)
    return replace(place, location=(lon, lat))


def inside_point(shape: Any) -> Any:
    """Return (x, y) of a point inside the largest part of a shape."""
    parts = shapely.get_parts(shape)
    largest = parts[int(np.argmax(shapely.area(parts)))] if len(parts) else shape
    return shapely.get_coordinates(shapely.point_on_surface(largest))[0]
