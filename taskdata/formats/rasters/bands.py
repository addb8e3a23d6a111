"""What a GeoTIFF holds, without the library that writes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats
from taskdata.geometry.cells import CellGrid
from taskdata.geometry.plane import LocalPlane

SUFFIXES = (".tif", ".tiff")


@dataclass(frozen=True, slots=True)
class Band:
    """A band: what it holds, in which unit, and more tags of it."""

    description: str
    unit: str
    tags: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BandTile:
    """The cells of k bands from ``first`` on, (k, rows, columns), from a row and a column on; NaN without a value."""

    first: int
    row: int
    column: int
    values: Floats


@dataclass(frozen=True, slots=True)
class Frame:
    """The grid of a file, the plane that it lies in, and the tags of the file."""

    grid: CellGrid
    plane: LocalPlane
    tags: Mapping[str, str] = field(default_factory=dict)


def plane_name(plane: LocalPlane) -> str:
    """Return what a local plane is called."""
    return f"Local transverse Mercator about {plane.lat:.6f}, {plane.lon:.6f} on WGS 84"
