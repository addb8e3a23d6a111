"""GeoParquet 1.1.0: a folder of Parquet files, geometry as WKB, written by pyarrow with metadata of our own."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import shapely
from numpy.typing import NDArray
from pyproj import CRS

from taskdata import strict_json
from taskdata.errors import SourceError, unfit
from taskdata.findings import Place
from taskdata.formats import carriage, packed, rules
from taskdata.formats.base import RawTable, Tables
from taskdata.formats.columns import GEOMETRY, Layer
from taskdata.formats.faults import reason
from taskdata.formats.ogr import writing
from taskdata.geometry import wkb
from taskdata.ledger import Loss
from taskdata.litter import entries
from taskdata.model.carried import Carried

SUFFIX = ".parquet"
VERSION = "1.1.0"
_CHUNK = 65_536


class GeoParquet:
    """The driver; a layer a file."""

    def losses(self, layers: Sequence[Layer], carried: Carried | None) -> list[Loss]:
        """Return nothing: the format holds everything."""
        return []

    def write(self, path: Path, layers: Sequence[Layer], carried: Carried | None) -> list[Loss]:
        """Write each layer into the folder ``path``."""
        for layer in (*layers, *(carriage.to_layers(carried) if carried else ())):
            table = layer.table
            if layer.spec.geometry is not None:
                table = table.replace_schema_metadata({b"geo": strict_json.dumps(_metadata(layer)).encode()})
            with writing(path):
                pq.write_table(table, path / f"{layer.name}{SUFFIX}", compression="zstd")
        return self.losses(layers, carried)

    def read(self, path: Path) -> Tables:
        """Return every Parquet file of a folder, or the one that ``path`` names."""
        paths = [path] if path.is_file() else [item for item in entries(path) if item.suffix.lower() == SUFFIX]
        found, errors = Tables(), []
        for item in paths:
            try:
                found.add(read_file(item))
            except SourceError as error:
                errors.append(error)
                found.findings.append(
                    rules.UNREADABLE_LAYER.at(Place(file=item.name), layer=item.name, reason=error.why or error.what)
                )
        if errors and not found.tables:
            raise errors[0]
        return found


def read_file(path: Path) -> RawTable:
    """Return one file.

    Raises
    ------
    SourceError
        It is damaged, or its geometry is not kept as WKB.
    """
    try:
        table = pq.read_table(path)
    except (pa.ArrowException, OSError) as error:
        raise SourceError(
            "The Parquet file cannot be read", where=path, why=reason(error), remedy="Copy it again from where it came."
        ) from error
    text = (table.schema.metadata or {}).get(b"geo")
    if text is None:
        return RawTable(path.stem, path.name, table.replace_schema_metadata(None))
    try:
        meta = json.loads(text)
        name = meta["primary_column"]
        column = meta["columns"][name]
    except (ValueError, KeyError, TypeError) as error:
        raise SourceError(
            "The description of the geometry is damaged", where=path, why=unfit(error), remedy="Write the file again."
        ) from error
    if column.get("encoding") != "WKB" or name not in table.column_names:
        raise SourceError(
            f"The geometry is kept as {column.get('encoding')}",
            where=path,
            why="only WKB is read",
            remedy="Write the file again with the encoding WKB.",
        )
    others = [item for item in table.column_names if item not in meta["columns"] and item != "bbox"]
    arrays = {item: table[item] for item in others} | {GEOMETRY: table[name].cast(pa.large_binary())}
    return RawTable(path.stem, path.name, pa.table(arrays), _crs(column))


def _crs(column: dict[str, Any]) -> str | None:
    """Return the system of a geometry column: WGS 84 when the key is missing, unknown when it is null."""
    if "crs" not in column:
        return "OGC:CRS84"
    crs = column["crs"]
    return None if crs is None else strict_json.dumps(crs)


def _metadata(layer: Layer) -> dict[str, Any]:
    kinds: set[str] = set()
    low, high = np.full(2, np.inf), np.full(2, -np.inf)
    for codes, coordinates in _contents(layer.table[GEOMETRY]):
        kinds.update(_NAMES[code] for code in codes)
        if len(coordinates):
            low, high = np.minimum(low, coordinates.min(axis=0)), np.maximum(high, coordinates.max(axis=0))
    column: dict[str, Any] = {
        "encoding": "WKB",
        "geometry_types": sorted(kinds),
        "crs": CRS.from_user_input("OGC:CRS84").to_json_dict(),
        "orientation": "counterclockwise",
        "edges": "planar",
    }
    if np.isfinite(low).all():
        column["bbox"] = [*low.tolist(), *high.tolist()]
    return {"version": VERSION, "primary_column": GEOMETRY, "columns": {GEOMETRY: column}}


def _contents(column: pa.ChunkedArray) -> Iterator[tuple[Collection[int], NDArray[np.float64]]]:
    """Yield the kinds of geometry and the coordinates of a column, piece by piece."""
    for chunk in column.chunks:
        whole = packed.unpacked(chunk)
        if whole is not None:
            yield [_SHAPELY_CODES[whole[0]]], whole[1]
            continue
        for start in range(0, len(chunk), _CHUNK):
            records = np.empty(min(_CHUNK, len(chunk) - start), dtype=object)
            records[:] = chunk.slice(start, _CHUNK).to_pylist()
            shapes = shapely.from_wkb(records)
            codes = np.unique(shapely.get_type_id(shapes))
            yield [int(code) for code in codes if code >= 0], shapely.get_coordinates(shapes)


_SHAPELY_CODES = {wkb.POINT: 0, wkb.POLYGON: 3}
_NAMES = {
    0: "Point",
    1: "LineString",
    3: "Polygon",
    4: "MultiPoint",
    5: "MultiLineString",
    6: "MultiPolygon",
    7: "GeometryCollection",
}
