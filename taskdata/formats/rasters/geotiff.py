"""GeoTIFF: bands of 32-bit floats with their descriptions and units, tile by tile.

Cells without a value are NaN, which is also the stated nodata value, so that nobody takes them for numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from rasterio.crs import CRS
from rasterio.errors import RasterioError
from rasterio.transform import Affine
from rasterio.windows import Window

from taskdata.errors import TargetError
from taskdata.formats.rasters.bands import Band, BandTile, Frame, plane_name
from taskdata.geometry.cells import TILE
from taskdata.geometry.plane import LocalPlane

_MARKS = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
"""How a TIFF begins (TIFF 6.0, section 2), and one with offsets of 64 bits."""

_TAGS = frozenset({"task", "caution", "method"})
"""Tags that every raster gets which is written here."""


def plane_crs(plane: LocalPlane) -> CRS:
    """Return a local plane as a coordinate reference system with its name."""
    wkt = (
        f'PROJCS["{plane_name(plane)}",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,'
        'AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],'
        'UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]],'
        f'PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",{plane.lat!r}],'
        f'PARAMETER["central_meridian",{plane.lon!r}],PARAMETER["scale_factor",1],PARAMETER["false_easting",0],'
        'PARAMETER["false_northing",0],UNIT["metre",1,AUTHORITY["EPSG","9001"]],AXIS["Easting",EAST],'
        'AXIS["Northing",NORTH]]'
    )
    return CRS.from_wkt(wkt)


def is_own(path: Path) -> bool:
    """Tell whether a file is a raster that was written here, by the tags in it."""
    try:
        with path.open("rb") as file:
            if not file.read(4).startswith(_MARKS):
                return False
        with rasterio.open(path, driver="GTiff") as raster:
            return set(raster.tags()) >= _TAGS
    except (RasterioError, OSError):
        return False


def write_geotiff(target: Path, frame: Frame, bands: Sequence[Band], tiles: Iterable[BandTile]) -> None:
    """Write a GeoTIFF to a path that nothing stands at.

    Parameters
    ----------
    tiles : iterable of BandTile
        Those that hold something, on the tiles of `taskdata.geometry.cells`; all others stay without a value.

    Raises
    ------
    TargetError
        The disk or the library reported an error.
    """
    try:
        with rasterio.open(target, "w", **_profile(frame, len(bands))) as file:
            file.update_tags(AREA_OR_POINT="Area", **frame.tags)
            file.descriptions = tuple(band.description for band in bands)
            file.units = tuple(band.unit for band in bands)
            for number, band in enumerate(bands, start=1):
                file.update_tags(number, unit=band.unit, **band.tags)
            for tile in tiles:
                window = Window(tile.column, tile.row, tile.values.shape[2], tile.values.shape[1])
                chosen = range(tile.first + 1, tile.first + 1 + len(tile.values))
                file.write(tile.values.astype(np.float32), list(chosen), window=window)
    except RasterioError as error:
        raise TargetError("could not be written", where=target, why=str(error)) from error


def _profile(frame: Frame, count: int) -> dict[str, Any]:
    grid = frame.grid
    return {
        "driver": "GTiff",
        "width": grid.columns,
        "height": grid.rows,
        "count": count,
        "dtype": "float32",
        "nodata": math.nan,
        "crs": plane_crs(frame.plane),
        "transform": Affine(grid.cell, 0.0, grid.west, 0.0, -grid.cell, grid.north),
        "tiled": True,
        "blockxsize": TILE,
        "blockysize": TILE,
        "compress": "deflate",
        "predictor": 3,
        "BIGTIFF": "IF_SAFER",
        "SPARSE_OK": True,
    }
