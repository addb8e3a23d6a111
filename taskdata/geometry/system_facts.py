"""What a coordinate reference system says of itself: where it is used, its heights, its datum."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from pyproj import CRS

from taskdata.geometry.arrays import Floats, as_points


class AreaOfUse(NamedTuple):
    """The name and the box of the area that a coordinate reference system is made for, in degrees."""

    name: str
    west: float
    south: float
    east: float
    north: float

    def beyond(self, lonlat: ArrayLike) -> Floats:
        """Return by how many degrees each of (n, 2) points lies outside; 0 inside, NaN where a point has no place."""
        points = as_points(lonlat)
        middle = self.west + ((self.east - self.west) % 360.0) / 2.0
        half = ((self.east - self.west) % 360.0 or 360.0) / 2.0
        aside = np.abs((points[:, 0] - middle + 180.0) % 360.0 - 180.0) - half
        above = np.maximum(points[:, 1] - self.north, self.south - points[:, 1])
        return np.maximum(np.maximum(aside, above), 0.0)


class Heights(NamedTuple):
    """What a system calls its heights, and how many metres its unit is."""

    name: str
    metres: float


def area_of_use(source: CRS) -> AreaOfUse | None:
    """Return the area of use that the text of a system states, or of the registered one that it is."""
    area = source.area_of_use
    if area is None:
        code = source.to_epsg()
        area = None if code is None else CRS.from_epsg(code).area_of_use
    return None if area is None else AreaOfUse(area.name, area.west, area.south, area.east, area.north)


def heights_of(source: CRS) -> Heights | None:
    """Return what a system says of heights, None where it has none."""
    axes = [axis for axis in source.axis_info if axis.direction.lower() in ("up", "down")]
    if not axes:
        return None
    sign = 1.0 if axes[0].direction.lower() == "up" else -1.0
    return Heights(axes[0].name, sign * axes[0].unit_conversion_factor)


def frame_of(source: CRS) -> tuple[str, bool]:
    """Return the name of a system's datum, and whether it moves against the ground."""
    datum = (source.geodetic_crs or source).datum
    if datum is None:
        return source.name, False
    return datum.name, datum.type_name.startswith("Dynamic") or datum.name.startswith("World Geodetic System 1984")
