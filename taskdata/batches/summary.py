"""The summary of a batch as CSV and GeoParquet: a row for each source, with the box that it lies in."""

from __future__ import annotations

import csv
import io
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import shapely

from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries.geo_metadata import with_geo_metadata
from taskdata.results.batch import Batch, BatchedSource

_CORNERS = ("west", "south", "east", "north")
_FORMULAS = ("=", "+", "-", "@", "\t", "\r")
_TYPES = {
    "source": pa.string(),
    "digest": pa.string(),
    "exit": pa.int16(),
    "result": pa.string(),
    "seconds": pa.float64(),
    "error": pa.string(),
    "document": pa.string(),
    **dict.fromkeys(_CORNERS, pa.float64()),
}


def csv_of(result: Batch) -> bytes:
    """Return the summary as CSV (RFC 4180) in UTF-8.

    A text that a spreadsheet would take for a formula has an apostrophe before it.
    """
    names = _columns(result)
    stream = io.StringIO(newline="")
    rows = csv.writer(stream, lineterminator="\r\n")
    rows.writerow(names)
    for item in result.sources:
        values = _values(item)
        rows.writerow([_cell(values.get(name)) for name in names])
    return stream.getvalue().encode("utf-8", "backslashreplace")


def parquet_of(result: Batch) -> bytes:
    """Return the summary as GeoParquet: the columns of the CSV, and the box of each source as ``geometry``."""
    names = _columns(result)
    rows = [_values(item) for item in result.sources]
    columns = {name: pa.array([_sound(row.get(name)) for row in rows], _TYPES.get(name, pa.int64())) for name in names}
    shapes = [None if item.bounds is None else shapely.to_wkb(_box(*item.bounds)) for item in result.sources]
    table = with_geo_metadata(pa.table({**columns, GEOMETRY: pa.array(shapes, pa.binary())}))
    stream = io.BytesIO()
    pq.write_table(table, stream, compression="zstd")
    return stream.getvalue()


def _columns(result: Batch) -> list[str]:
    counts = dict.fromkeys(name for item in result.sources for name in item.counts)
    return [*_TYPES, *(f"count_{name}" for name in sorted(counts))]


def _values(item: BatchedSource) -> dict[str, Any]:
    corners = dict(zip(_CORNERS, item.bounds or (None,) * 4, strict=True))
    own = {name: getattr(item, name) for name in _TYPES if name not in _CORNERS}
    return {**own, **corners, **{f"count_{name}": count for name, count in item.counts.items()}}


def _cell(value: Any) -> Any:
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULAS) else value


def _sound(value: Any) -> Any:
    """Return a text that is one in UTF-8, whatever bytes the name of a file has."""
    return value.encode("utf-8", "backslashreplace").decode() if isinstance(value, str) else value


def _box(west: float, south: float, east: float, north: float) -> Any:
    """Return a box as a shape, in two parts where it lies across 180 degrees."""
    if west > east:
        return shapely.MultiPolygon([shapely.box(west, south, 180.0, north), shapely.box(-180.0, south, east, north)])
    if west == east and south == north:
        return shapely.Point(west, south)
    if west == east or south == north:
        return shapely.LineString([(west, south), (east, north)])
    return shapely.box(west, south, east, north)
