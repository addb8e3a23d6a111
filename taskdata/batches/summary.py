"""The summary of a batch as CSV and GeoParquet: a row for each source, with the box that it lies in."""

from __future__ import annotations

import csv
import io
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import shapely

from taskdata.formats.columns import GEOMETRY
from taskdata.formats.delimited.formulas import guarded
from taskdata.formats.geometries.boxes import box_shape
from taskdata.formats.geometries.geo_metadata import with_geo_metadata
from taskdata.results.batch import Batch, BatchedSource
from taskdata.visible import visible

_CORNERS = ("west", "south", "east", "north")
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

    A text that a spreadsheet would take for a formula has an apostrophe before it, and a character that would steer a
    terminal is an escape; ``summary.json`` and ``summary.parquet`` have the texts as they are.
    """
    table = _table(result)
    columns = [_shown(column) if pa.types.is_string(column.type) else column for column in table.columns]
    stream = io.StringIO(newline="")
    rows = csv.writer(stream, lineterminator="\r\n")
    rows.writerow(table.column_names)
    rows.writerows(zip(*(column.to_pylist() for column in columns), strict=True))
    return stream.getvalue().encode()


def parquet_of(result: Batch) -> bytes:
    """Return the summary as GeoParquet: the columns of the CSV, and the box of each source as ``geometry``."""
    shapes = [None if item.bounds is None else shapely.to_wkb(box_shape(*item.bounds)) for item in result.sources]
    table = with_geo_metadata(_table(result).append_column(GEOMETRY, pa.chunked_array([pa.array(shapes, pa.binary())])))
    stream = io.BytesIO()
    pq.write_table(table, stream, compression="zstd")
    return stream.getvalue()


def _table(result: Batch) -> pa.Table:
    counts = sorted({f"count_{name}" for item in result.sources for name in item.counts})
    types = {**_TYPES, **dict.fromkeys(counts, pa.int64())}
    rows = [_values(item) for item in result.sources]
    columns = [pa.array([_sound(row.get(name)) for row in rows], kind) for name, kind in types.items()]
    return pa.table([pa.chunked_array([column]) for column in columns], names=list(types))


def _values(item: BatchedSource) -> dict[str, Any]:
    corners = dict(zip(_CORNERS, item.bounds or (None,) * 4, strict=True))
    own = {name: getattr(item, name) for name in _TYPES if name not in _CORNERS}
    return {**own, **corners, **{f"count_{name}": count for name, count in item.counts.items()}}


def _shown(column: pa.ChunkedArray) -> pa.ChunkedArray:
    texts = [None if text is None else visible(text) for text in column.to_pylist()]
    return guarded(pa.chunked_array([pa.array(texts, pa.string())]))


def _sound(value: Any) -> Any:
    """Return a text that is one in UTF-8, whatever bytes the name of a file has."""
    return value.encode("utf-8", "backslashreplace").decode() if isinstance(value, str) else value
