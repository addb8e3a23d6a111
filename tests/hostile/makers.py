"""Hostile files, each made in a folder of its own; each maker returns the path that a command is given."""

from __future__ import annotations

import json
import os
import sqlite3
import struct
from contextlib import closing
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pyogrio
import shapely

SHAPES = [shapely.to_wkb(shapely.box(10 + 0.01 * at, 54, 10.005 + 0.01 * at, 54.005)) for at in range(3)]


def text(name: str, content: str):
    """Make a file of a name that holds a text; ``{url}`` in it is where the test listens."""

    def make(folder: Path, url: str) -> Path:
        path = folder / name
        path.write_text(content.replace("{url}", url), encoding="utf-8")
        return path

    return make


def layer(folder: Path, name: str = "plots.shp") -> Path:
    """Make a file of three fields in the format that its name says."""
    table = pa.table({"name": ["a", "b", "c"], "geometry": SHAPES})
    path = folder / name
    pyogrio.write_arrow(table, path, geometry_name="geometry", geometry_type="Polygon", crs="EPSG:4326")
    return path


def shapefile(*, prj: bytes | None = None, columns: list[bytes] | None = None, pipe: str | None = None):
    """Make a shapefile with a .prj, columns of its table, or a pipe in place of one of its files."""

    def make(folder: Path, url: str) -> Path:
        path = layer(folder)
        if prj is not None:
            path.with_suffix(".prj").write_bytes(prj.replace(b"{url}", url.encode()))
        if columns is not None:
            path.with_suffix(".dbf").write_bytes(_dbf(columns))
        if pipe is not None:
            path.with_suffix(pipe).unlink(missing_ok=True)
            os.mkfifo(path.with_suffix(pipe))
        return path

    return make


def _dbf(names: list[bytes]) -> bytes:
    """Return a dBASE III table of three rows with columns of ten characters (from memory of its description)."""
    head = struct.pack("<B3BIHH20x", 3, 126, 1, 1, 3, 32 + 32 * len(names) + 1, 1 + 10 * len(names))
    columns = b"".join(name.ljust(11, b"\0") + b"C" + bytes(4) + bytes([10, 0]) + bytes(14) for name in names)
    return head + columns + b"\r" + (b" " + b"12345     " * len(names)) * 3


def geopackage(*statements: str):
    """Make a GeoPackage of three fields and run statements on it."""

    def make(folder: Path, url: str) -> Path:
        path = layer(folder, "plots.gpkg")
        with closing(sqlite3.connect(path)) as base:
            base.execute("PRAGMA writable_schema=ON")
            for statement in statements:
                base.execute(statement.replace("{url}", url))
            base.commit()
        return path

    return make


def parquet(column: pa.Array | pa.ChunkedArray, geo: bytes | None = None):
    """Make a Parquet file of one column, or of three fields with what it says of their geometry."""

    def make(folder: Path, url: str) -> Path:
        path = folder / "rows.parquet"
        table = pa.table({"a": column} if geo is None else {"a": column, "geometry": pa.array(SHAPES)})
        metadata = None if geo is None else {b"geo": geo.replace(b"{url}", url.encode())}
        pq.write_table(table.replace_schema_metadata(metadata), path, compression="zstd")
        return path

    return make


def geo(**column: object) -> bytes:
    """Return a description of geometry as GeoParquet has it, with members of its column."""
    return json.dumps({"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": column}}).encode()


def pipe(name: str):
    """Make a pipe."""

    def make(folder: Path, url: str) -> Path:
        os.mkfifo(folder / name)
        return folder / name

    return make
