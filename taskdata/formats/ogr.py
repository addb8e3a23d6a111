"""What the drivers that go through GDAL share."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc
from pyogrio.errors import DataLayerError, DataSourceError, FeatureError, FieldError, GeometryError
from pyogrio.raw import read_arrow

from taskdata.errors import TargetError
from taskdata.formats.columns import GEOMETRY, GeometryType, Layer

_MULTI_LINE = b"\x01\x05\x00\x00\x00"


_WRITING = (DataSourceError, DataLayerError, FeatureError, FieldError, GeometryError, pa.ArrowException, OSError)


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turn what goes wrong while a target is written into a `TargetError`."""
    try:
        yield
    except _WRITING as error:
        raise TargetError(
            "The target could not be written",
            where=path,
            why=str(error),
            remedy="Check that the disk has room and that you may write there.",
        ) from error


def declared(layer: Layer) -> tuple[pa.Table, str | None]:
    """Return the table of a layer as it is to be written, and the geometry type to declare.

    Lines are multi-part as soon as one has several parts; a layer is of one type.
    """
    kind = layer.spec.geometry
    if kind is GeometryType.LINE:
        column = layer.table[GEOMETRY]
        if pc.any(pc.starts_with(column, _MULTI_LINE)).as_py():
            whole = [record if record is None else _several(record) for record in column.to_pylist()]
            index = layer.table.column_names.index(GEOMETRY)
            return layer.table.set_column(index, GEOMETRY, pa.array(whole, pa.binary())), "MultiLineString"
    return layer.table, None if kind is None else kind.value


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


def _several(record: bytes) -> bytes:
    """Return a line as a multi-part line of one part."""
    return record if record.startswith(_MULTI_LINE) else _MULTI_LINE + (1).to_bytes(4, "little") + record
