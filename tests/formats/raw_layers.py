"""Layers written byte by byte, so that they may hold what no library writes.

Well-known binary follows OGC 06-103r4 section 8, shapefiles the ESRI Shapefile Technical Description (July 1998, main
file record contents), GeoPackage geometry OGC 12-128r18 clause 2.1.3, GeoParquet the specification 1.1.0.
"""

from __future__ import annotations

import json
import sqlite3
import struct
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pyogrio
import shapely
from pyproj import CRS

from taskdata.file_formats.table import format_named

Ring = Sequence[Sequence[float]]

SQUARE = [[10.0, 54.0], [10.01, 54.0], [10.01, 54.01], [10.0, 54.01], [10.0, 54.0]]
HOLE = [[10.002, 54.002], [10.002, 54.004], [10.004, 54.004], [10.004, 54.002], [10.002, 54.002]]
FLAT = [[10.002, 54.002], [10.004, 54.004], [10.006, 54.006], [10.002, 54.002]]
TWO = [[10.002, 54.002], [10.004, 54.004], [10.002, 54.002], [10.002, 54.002]]
ONE = [[10.002, 54.002]]


def wkb(kind: str, parts: Any) -> bytes:
    """Return a geometry of nested lists as it stands, whatever is wrong with it."""
    names = ("Point", "LineString", "Polygon", "MultiPoint", "MultiLineString", "MultiPolygon")
    head = struct.pack("<BI", 1, names.index(kind) + 1)
    if kind == "Point":
        return head + struct.pack("<2d", *parts)
    if kind == "LineString":
        return head + _run(parts)
    if kind == "Polygon":
        return head + struct.pack("<I", len(parts)) + b"".join(map(_run, parts))
    inner = kind.removeprefix("Multi")
    return head + struct.pack("<I", len(parts)) + b"".join(wkb(inner, part) for part in parts)


def _run(points: Ring) -> bytes:
    return struct.pack("<I", len(points)) + b"".join(struct.pack("<2d", *point[:2]) for point in points)


def geojson(path: Path, *geometries: Any) -> Path:
    """Write features named n1, n2 ... with geometries as they are."""
    features = [
        {"type": "Feature", "properties": {"name": f"n{number}"}, "geometry": geometry}
        for number, geometry in enumerate(geometries, 1)
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return path


def shapefile(path: Path, records: Sequence[bytes], kind: int = 5) -> Path:
    """Write the record contents given, with index, names and system."""
    body, index = b"", b""
    for number, record in enumerate(records, 1):
        index += struct.pack(">ii", (100 + len(body)) // 2, len(record) // 2)
        body += struct.pack(">ii", number, len(record) // 2) + record
    for suffix, content in ((".shp", body), (".shx", index)):
        head = struct.pack(">i20xi", 9994, (100 + len(content)) // 2) + struct.pack("<ii64x", 1000, kind)
        path.with_suffix(suffix).write_bytes(head + content)
    table = struct.pack("<BBBBIHH20x", 3, 126, 1, 1, len(records), 65, 11)
    table += b"NAME".ljust(11, b"\0") + b"C" + b"\0\0\0\0" + bytes([10, 0]) + b"\0" * 14 + b"\r"
    names = (b" " + f"n{number}".ljust(10).encode() for number in range(1, len(records) + 1))
    path.with_suffix(".dbf").write_bytes(table + b"".join(names) + b"\x1a")
    path.with_suffix(".prj").write_text(CRS.from_epsg(4326).to_wkt("WKT1_ESRI"))
    return path.with_suffix(".shp")


def shape_record(parts: Sequence[Ring], kind: int = 5) -> bytes:
    """Return the content of a record of lines (3) or polygons (5)."""
    points = [point for part in parts for point in part]
    starts = [sum(map(len, parts[:number])) for number in range(len(parts))]
    head = struct.pack("<i4dii", kind, 0.0, 0.0, 0.0, 0.0, len(parts), len(points))
    starts_bytes = struct.pack(f"<{len(starts)}i", *starts)
    return head + starts_bytes + b"".join(struct.pack("<2d", *point[:2]) for point in points)


def geopackage(path: Path, *records: bytes | None) -> Path:
    """Write a layer ``plots`` of rows named n1, n2 ... whose geometry is well-known binary as it is."""
    count = len(records)
    filler = np.array([shapely.to_wkb(shapely.Point(10.0, 54.0))] * count, dtype=object)
    names = np.array([f"n{number}" for number in range(1, count + 1)], dtype=object)
    options: dict[str, Any] = {"layer": "plots", "driver": "GPKG", "geometry_type": "Unknown", "crs": "EPSG:4326"}
    pyogrio.raw.write(path, filler, [names], ["name"], **options)
    with sqlite3.connect(path) as database:
        for (name,) in database.execute("select name from sqlite_master where type = 'trigger'").fetchall():
            database.execute(f'drop trigger "{name}"')
        for number, record in enumerate(records, 1):
            blob = None if record is None else b"GP\0\x01" + struct.pack("<i", 4326) + record
            database.execute("update plots set geom = ? where fid = ?", (blob, number))
    database.close()
    return path


def geoparquet(path: Path, column: pa.Array, **meta: Any) -> Path:
    """Write rows named n1, n2 ... with a column ``geometry`` and what is said of it."""
    table = pa.table({"name": [f"n{number}" for number in range(1, len(column) + 1)], "geometry": column})
    geo = {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": {"encoding": "WKB"} | meta}}
    pq.write_table(table.replace_schema_metadata({"geo": json.dumps(geo)}), path)
    return path


def layer(form: str, folder: Path, kind: str, *rows: Any) -> Path:
    """Write nested lists of one kind as they are, in any format; a shapefile takes polygons and lines."""
    if form == "geojson":
        return geojson(folder / "plots.geojson", *({"type": kind, "coordinates": row} for row in rows))
    if form == "shapefile":
        code = 5 if kind.endswith("Polygon") else 3
        return shapefile(folder / "plots.shp", [shape_record(_flat(kind, row), code) for row in rows], code)
    records = [wkb(kind, row) for row in rows]
    if form == "gpkg":
        return geopackage(folder / "plots.gpkg", *records)
    if form == "parquet":
        return geoparquet(folder / "plots.parquet", pa.array(records, pa.binary()))
    return by_gdal(folder / f"plots{format_named(form).suffix}", *records)


def by_gdal(path: Path, *records: bytes) -> Path:
    """Write rows named n1, n2 ... in the format of a suffix as GDAL writes it, which looks at no ring."""
    names = pa.array([f"n{number}" for number in range(1, len(records) + 1)])
    table = pa.table({"name": names, "geometry": pa.array(records, pa.binary())})
    driver = pyogrio.detect_write_driver(path)
    options = {"geometry_name": "geometry", "geometry_type": "Unknown", "crs": "EPSG:4326"}
    pyogrio.write_arrow(table, path, driver=driver, layer_options={"SPATIAL_INDEX": "NO"}, **options)
    return path


def _flat(kind: str, row: Any) -> list[Ring]:
    """Return the parts of a record; outlines run clockwise there and holes the other way (page 8)."""
    if kind == "MultiPolygon":
        return [ring[::-1] for part in row for ring in part]
    if kind == "Polygon":
        return [ring[::-1] for ring in row]
    return [row] if kind == "LineString" else list(row)


def native(kind: str, *rows: Any) -> pa.Array:
    """Return a native column of nested lists (GeoParquet 1.1.0, "Native encodings"), positions as structs."""
    depth = {"point": 0, "linestring": 1, "polygon": 2, "multipoint": 1, "multilinestring": 2, "multipolygon": 3}[kind]
    names = ("x", "y", "z")
    width = max((len(position) for position in _positions_in(list(rows), depth + 1)), default=2)
    arrow: pa.DataType = pa.struct([(name, pa.float64()) for name in names[:width]])
    for _ in range(depth):
        arrow = pa.list_(arrow)

    def named(value: Any, deep: int) -> Any:
        if value is None:
            return None
        return [named(item, deep - 1) for item in value] if deep else dict(zip(names, value, strict=False))

    return pa.array([named(row, depth) for row in rows], arrow)


def _positions_in(value: Any, deep: int) -> list[Any]:
    if value is None:
        return []
    return [value] if not deep else [found for item in value for found in _positions_in(item, deep - 1)]
