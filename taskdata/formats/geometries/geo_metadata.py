"""The metadata by which a Parquet file is one of GeoParquet 1.1.0."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import field
from typing import Any

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray
from pyproj import CRS

from taskdata import strict_json
from taskdata.dataclass import dataclass
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries import fixed_size_wkb

VERSION = "1.1.0"
_CHUNK = 65_536


def with_geo_metadata(table: pa.Table) -> pa.Table:
    """Return a table with the metadata of GeoParquet alone: the kinds of its geometries and the box around them.

    Parameters
    ----------
    table : pyarrow.Table
        With a column ``geometry`` of well-known binary in degrees, WGS 84, longitude first.
    """
    found = Geometries()
    found.note(table[GEOMETRY])
    return table.replace_schema_metadata({b"geo": found.metadata().encode()})


@dataclass
class Geometries:
    """The kinds of geometry in a column, and the box around them."""

    kinds: set[str] = field(default_factory=set)
    low: NDArray[np.float64] = field(default_factory=lambda: np.full(2, np.inf))
    high: NDArray[np.float64] = field(default_factory=lambda: np.full(2, -np.inf))

    def note(self, column: pa.ChunkedArray) -> None:
        """Take in more geometries, well-known binary in degrees."""
        for codes, coordinates in _contents(column):
            self.kinds.update(_NAMES[code] for code in codes)
            if len(coordinates):  # an axis at a time: along both at once numpy takes ten times as long
                self.low = np.minimum(self.low, [axis.min() for axis in coordinates.T])
                self.high = np.maximum(self.high, [axis.max() for axis in coordinates.T])

    def metadata(self) -> str:
        """Return the metadata of a file that holds them, as JSON."""
        return strict_json.dumps(_metadata(self))


def _metadata(found: Geometries) -> dict[str, Any]:
    column: dict[str, Any] = {
        "encoding": "WKB",
        "geometry_types": sorted(found.kinds),
        "crs": CRS.from_user_input("OGC:CRS84").to_json_dict(),
        "orientation": "counterclockwise",
        "edges": "planar",
    }
    if np.isfinite(found.low).all():
        column["bbox"] = [*found.low.tolist(), *found.high.tolist()]
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
