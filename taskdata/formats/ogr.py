"""What the drivers that go through GDAL share."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc
from pyogrio.raw import read_arrow

from taskdata.formats.columns import GEOMETRY, GeometryType, Layer

_MULTI_LINE = b"\x01\x05\x00\x00\x00"


def declared_type(layer: Layer) -> str | None:
    """Return the geometry type to declare for a layer; lines are multi-part as soon as one has several parts."""
    kind = layer.spec.geometry
    if kind is GeometryType.LINE and pc.any(pc.starts_with(layer.table[GEOMETRY], _MULTI_LINE)).as_py():
        return "MultiLineString"
    return None if kind is None else kind.value


def read_layer(path: Path, name: str | None = None) -> tuple[pa.Table, str | None]:
    """Return a layer as a table, its geometry as WKB in the last column, and what its coordinates are in."""
    meta, table = read_arrow(path, layer=name)
    table = table.replace_schema_metadata(None)
    geometry = None
    if meta["geometry_type"] is not None:
        geometry = meta["geometry_name"] or "wkb_geometry"
    arrays = {item: _plain(table[item]) for item in table.column_names if item != geometry}
    if geometry is not None:
        arrays[GEOMETRY] = table[geometry].cast(pa.large_binary())
    crs = meta["crs"]
    return pa.table(arrays), None if crs is None else str(crs)


def _plain(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """Return a column without time zone: what a GeoPackage calls UTC is written here as local time."""
    if pa.types.is_timestamp(column.type) and column.type.tz is not None:
        return column.cast(pa.timestamp(column.type.unit))
    return column
