"""GeoParquet 1.1.0: a folder of Parquet files, geometry as WKB, written by pyarrow with metadata of our own."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import shapely
from numpy.typing import NDArray
from pyproj import CRS

from taskdata import strict_json
from taskdata.formats import side_tables
from taskdata.formats.base import LayerFiles, Tables, read_each
from taskdata.formats.columns import GEOMETRY, Layer
from taskdata.formats.drivers.geoparquet_read import read_file
from taskdata.formats.drivers.ogr import writing
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.ledger import Loss
from taskdata.model.carried import Carried

VERSION = "1.1.0"
_CHUNK = 65_536


class GeoParquet:
    """The driver; a layer a file."""

    def losses(self, layers: Sequence[Layer]) -> list[Loss]:
        """Return nothing: the format holds everything."""
        return []

    def write(self, target: LayerFiles, layers: Sequence[Layer], carried: Carried | None) -> None:
        """Write each layer into its file."""
        for layer in side_tables.with_side_tables(layers, carried):
            table = layer.table
            if layer.spec.geometry is not None:
                table = table.replace_schema_metadata({b"geo": strict_json.dumps(_metadata(layer)).encode()})
            with writing(target.path):
                pq.write_table(table, target.of(layer), compression="zstd")

    def column_names(self, path: Path) -> Mapping[str, Collection[str]]:
        """Return the names of the columns of the file."""
        return {path.stem: pq.read_schema(path).names}

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the table of each file."""
        return read_each(files, read_file)


DRIVER = GeoParquet()


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
        whole = fixed_size_wkb.unpacked(chunk)
        if whole is not None:
            yield [_SHAPELY_CODES[whole[0]]], whole[1]
            continue
        for start in range(0, len(chunk), _CHUNK):
            records = np.empty(min(_CHUNK, len(chunk) - start), dtype=object)
            records[:] = chunk.slice(start, _CHUNK).to_pylist()
            shapes = shapely.from_wkb(records)
            codes = np.unique(shapely.get_type_id(shapes))
            yield [int(code) for code in codes if code >= 0], shapely.get_coordinates(shapes)


_SHAPELY_CODES = {fixed_size_wkb.POINT: 0, fixed_size_wkb.POLYGON: 3}
_NAMES = {
    0: "Point",
    1: "LineString",
    3: "Polygon",
    4: "MultiPoint",
    5: "MultiLineString",
    6: "MultiPolygon",
    7: "GeometryCollection",
}
