"""A GeoTIFF as cells in WGS 84: bands as numbers, NaN where nodata, the mask or the alpha band says that there is none.

Corners of cells follow from the transform of the file, turned or not, and are placed as the points of a layer are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray
from rasterio.enums import ColorInterp
from rasterio.errors import RasterioError
from rasterio.warp import transform_bounds
from rasterio.windows import Window

from taskdata import limits
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UsageError
from taskdata.findings import Finding
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.placing.to_wgs84 import layer_to_wgs84
from taskdata.formats.rasters.opening import opened
from taskdata.geometry.arrays import Floats
from taskdata.model.lookup import nearest
from taskdata.results.reading import Datum

MOST_PIXELS = 1_000_000
"""Pixels in and about a field that are read at most: 1000 ha in pixels of 3 m have as many."""

_MARGIN_DEG = 0.005
_COLOURS = {ColorInterp.red, ColorInterp.green, ColorInterp.blue, ColorInterp.palette}

Bounds = tuple[float, float, float, float]
"""West, south, east and north in degrees."""


@dataclass(frozen=True, eq=False)
class Raster:
    """Cells with values.

    Parameters
    ----------
    values : float64 (bands, rows, columns)
        NaN where there is no value.
    nodes : float64 (rows + 1, columns + 1, 2)
        Longitude and latitude of the corners of the cells.
    scaled : bool
        Whether the file states a scale or offset of its numbers, which was applied.
    left : tuple of str
        Bands that were not asked for.
    findings : tuple of Finding
        What placing it found.
    datum : tuple of Datum
        How its coordinates were brought to WGS 84.
    """

    values: Floats
    nodes: Floats
    scaled: bool
    left: tuple[str, ...]
    findings: tuple[Finding, ...]
    datum: tuple[Datum, ...]


def read_raster(path: Path, bands: Sequence[str | None], crs: str | None, bounds: Bounds | None) -> Raster:
    """Read bands of a GeoTIFF.

    Parameters
    ----------
    path : Path
        The file.
    bands : sequence of str or None
        Number or description of each; None = the only one.
    crs : str or None
        Coordinate reference system of a file that names none.
    bounds : (west, south, east, north) or None
        The ground that is wanted, in degrees; None = all of it.

    Raises
    ------
    SourceError
        The file cannot be read.
    UsageError
        It does not say where it lies, has no such band, holds colours, or is too large.
    """
    with _opened(path) as file:
        numbers = [_band(path, file, band) for band in bands]
        window = _window(path, file, crs, bounds)
        values = np.stack([_values(path, file, number, window) for number in numbers])
        rows, columns = values.shape[1:]
        x, y = np.meshgrid(np.arange(columns + 1) + window.col_off, np.arange(rows + 1) + window.row_off)
        nodes = np.column_stack(file.transform @ (x.ravel(), y.ravel()))
        stated = None if file.crs is None else file.crs.to_wkt()
        scaled = any((file.scales[number - 1], file.offsets[number - 1]) != (1.0, 0.0) for number in numbers)
        left = tuple(_label(file, number) for number in _plain_bands(file) if number not in numbers)
    table = pa.table({GEOMETRY: pa.array([shapely.to_wkb(shapely.MultiPoint(nodes))], pa.binary())})
    placed, datum, findings = layer_to_wgs84(RawTable(path.stem, path.name, table, stated), crs, str(path))
    moved = shapely.get_coordinates(shapely.from_wkb(placed.table[GEOMETRY].to_pylist()))
    if len(moved) != len(nodes) or not np.isfinite(moved).all():
        what = "does not lie on Earth, by its coordinate reference system"
        raise UsageError(what, where=path, remedy="Save it again with the system that it is in")
    found = (tuple(findings), () if datum is None else (datum,))
    return Raster(values, moved.reshape(rows + 1, columns + 1, 2), scaled, left, *found)


@contextmanager
def _opened(path: Path) -> Iterator[Any]:
    try:
        with opened(path, grids=False) as file:
            if file.transform.is_identity or file.transform.is_degenerate:
                why = "it has no transform from pixels to the ground"
                remedy = "Save it again as a GeoTIFF with its place"
                raise UsageError("does not say where it lies", where=path, why=why, remedy=remedy)
            _refuse_blocks(path, file)
            yield file
    except (RasterioError, OSError) as error:
        why = "it is cut off, damaged, or not a GeoTIFF"
        raise SourceError("could not be read", where=path, why=why, remedy="Copy it again") from error


def _refuse_blocks(path: Path, file: Any) -> None:
    """Refuse a file whose blocks, which are unpacked whole, become far more than it takes on the disk."""
    size = path.stat().st_size
    shapes = zip(file.block_shapes, file.dtypes, strict=True)
    block = max(rows * columns * np.dtype(kind).itemsize for (rows, columns), kind in shapes) * file.count
    if block > limits.room_for(size):
        name = limits.binding(size)
        why = f"one of its blocks would take {block} bytes of memory, and {limits.told(name)}"
        raise SourceError("could not be read", where=path, why=why, remedy=limits.raising(name))


def _plain_bands(file: Any) -> list[int]:
    return [number for number in file.indexes if file.colorinterp[number - 1] is not ColorInterp.alpha]


def _label(file: Any, number: int) -> str:
    return file.descriptions[number - 1] or f"band {number}"


def _band(path: Path, file: Any, wanted: str | None) -> int:
    """Return the number of a band."""
    known = _plain_bands(file)
    if wanted is None and len(known) == 1:
        found = known
    elif wanted is None:
        found = []
    else:
        plain = wanted.strip().casefold().removeprefix("band ")
        found = [number for number in known if (file.descriptions[number - 1] or "").casefold() == plain]
        found = found or [number for number in known if str(number) == plain]
    if len(found) != 1:
        names = [
            f"{number} ({file.descriptions[number - 1]})" if file.descriptions[number - 1] else str(number)
            for number in known
        ]
        if wanted is None:
            raise UsageError(
                f"has {len(known)} bands", where=path, remedy=f"Choose one with [[column]]: {', '.join(names)}"
            )
        raise UsageError(f"has no band {wanted}", where=path, remedy=nearest(wanted, names))
    if file.colorinterp[found[0] - 1] in _COLOURS:
        what = f"band {found[0]} holds colours of a picture, not rates"
        raise UsageError(what, where=path, remedy="Export the rates themselves, as numbers")
    if np.issubdtype(np.dtype(file.dtypes[found[0] - 1]), np.complexfloating):
        raise UsageError(f"band {found[0]} holds complex numbers, not rates", where=path, remedy="Name another band")
    return found[0]


def _window(path: Path, file: Any, crs: str | None, bounds: Bounds | None) -> Window:
    """Return the part of a file that is read: all of a small one, of a large one what lies about the bounds."""
    whole = Window(0, 0, file.width, file.height)
    if file.width * file.height <= MOST_PIXELS:
        return whole
    part = None if bounds is None else _about(file, crs, bounds)
    size = file.width * file.height if part is None else part.width * part.height
    if part is None or size > MOST_PIXELS:
        what = f"has {size:,} pixels {'in all' if part is None else 'about the field'}, more than {MOST_PIXELS:,}"
        raise UsageError(what, where=path, remedy="Cut it to the field, or save it with larger pixels")
    if not part.width * part.height:
        what, why = "the map does not lie in the field", "no pixel is within 500 m of it"
        raise UsageError(what, where=path, why=why, remedy="Name the field that the map is for ([[field]])")
    return part


def _about(file: Any, crs: str | None, bounds: Bounds) -> Window:
    west, south, east, north = bounds
    wide = (west - _MARGIN_DEG, south - _MARGIN_DEG, east + _MARGIN_DEG, north + _MARGIN_DEG)
    system = file.crs or crs
    low_x, low_y, high_x, high_y = transform_bounds("EPSG:4326", system, *wide) if system else wide
    x, y = np.array([low_x, high_x, high_x, low_x]), np.array([low_y, low_y, high_y, high_y])
    column, row = ~file.transform @ (x, y)
    first_column, last_column = (
        np.clip([np.floor(column.min()), np.ceil(column.max())], 0, file.width).astype(int).tolist()
    )
    first_row, last_row = np.clip([np.floor(row.min()), np.ceil(row.max())], 0, file.height).astype(int).tolist()
    return Window(first_column, first_row, last_column - first_column, last_row - first_row)


def _values(path: Path, file: Any, number: int, window: Window) -> Floats:
    """Return the numbers of a band."""
    raw = file.read(number, window=window, masked=True)
    values = raw.astype(np.float64).filled(np.nan) * file.scales[number - 1] + file.offsets[number - 1]
    _refuse(path, np.isinf(values), values, "is not a rate", window)
    _refuse(path, values < 0.0, values, "is negative; if it stands for no rate, state it as nodata", window)
    return np.asarray(values, dtype=np.float64)


def _refuse(path: Path, bad: NDArray[np.bool_], values: Floats, what: str, window: Window) -> None:
    if bad.any():
        row, column = (int(found[0]) for found in np.nonzero(bad))
        where = f"{path}, row {row + window.row_off}, column {column + window.col_off}"
        raise UsageError(f"{values[row, column]:g} {what}", where=where, remedy="Correct the raster")
