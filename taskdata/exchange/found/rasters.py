"""What a raster most likely is, where it lies, and how many cells it has; only its header is read."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from rasterio import Affine
from rasterio.errors import RasterioError

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.formats.rasters.opening import opened
from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.transform import to_wgs84
from taskdata.results.survey import ItemKind

_PICTURE_BANDS = (3, 4)


@dataclass(frozen=True)
class Raster:
    """The header of a raster.

    Parameters
    ----------
    cells : int
        Columns times rows.
    crs : str or None
        The system that it states.
    corners : Points or None
        Its corners in degrees of WGS 84; None where it does not say where it lies.
    kind, confidence, why
        What it most likely is, how sure that is, and what it was concluded from.
    """

    cells: int
    crs: str | None
    corners: Points | None
    kind: ItemKind
    confidence: float
    why: str


def raster_at(path: Path) -> Raster:
    """Return the header of a raster.

    Raises
    ------
    SourceError
        It cannot be read.
    """
    try:
        with opened(path, grids=True) as file:
            crs = file.crs.to_wkt() if file.crs else None
            placed = crs is not None and not file.transform.is_identity
            edge = _edge(file.width, file.height, file.transform) if placed else None
            kinds, cells = file.dtypes, file.width * file.height
    except (RasterioError, OSError, ValueError) as error:
        raise SourceError("is a raster that cannot be read", where=path, why=str(error)) from error
    corners = to_wgs84(crs, where=path).forward(edge) if crs is not None and edge is not None else None
    return Raster(cells, crs, corners, *_judged(kinds, placed=placed))


def _edge(width: int, height: int, place: Affine) -> Points:
    """Return positions along the edge, since the sides of a raster are no straight lines in degrees."""
    steps, ends = np.linspace(0.0, 1.0, 9), np.array([0.0, 1.0])
    along, across = (part.ravel() for part in np.meshgrid(steps, ends))
    columns, rows = width * np.concatenate([along, across]), height * np.concatenate([across, along])
    return as_points(
        np.column_stack([place.a * columns + place.b * rows + place.c, place.d * columns + place.e * rows + place.f])
    )


def _judged(kinds: Sequence[str], *, placed: bool) -> tuple[ItemKind, float, str]:
    if not placed:
        return ItemKind.OTHER, 0.8, "it does not say where it lies"
    if len(kinds) in _PICTURE_BANDS and set(kinds) == {"uint8"}:
        return ItemKind.OTHER, 0.9, f"its {len(kinds)} bands of bytes are a picture"
    if len(kinds) == 1:
        return ItemKind.RATEMAP, 0.5, "it has one band of numbers; they may also be something else, such as heights"
    return ItemKind.OTHER, 0.6, f"it has {len(kinds)} bands"
