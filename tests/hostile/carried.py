"""Sets that layers carry along, with a file renamed in the tables that hold it."""

from __future__ import annotations

import json
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pyogrio

_NOWHERE = "wkb_geometry"
"""The column of shapes that a table in FlatGeobuf has to have."""


def renamed(place: Path, file: str, name: str) -> None:
    """Give a file of a carried set another name, wherever the tables name it."""
    if place.suffix == ".gpkg":
        with closing(sqlite3.connect(place)) as base, base:
            base.execute("UPDATE carried_files SET name = ? WHERE name = ?", (name, file))
            base.execute("UPDATE carried_elements SET file = ? WHERE file = ?", (name, file))
        return
    for path in [*place.glob("carried_*"), *place.glob("*sidecar*")]:
        if path.suffix in {".geojson", ".json"}:
            before, after = json.dumps(file), json.dumps(name)
            text = path.read_text(encoding="utf-8")
            path.write_text(
                re.sub(rf'("(?:name|file)":\s*){before}', lambda it, after=after: it[1] + after, text), encoding="utf-8"
            )
            continue
        read, write = (pq.read_table, pq.write_table) if path.suffix == ".parquet" else (_fgb, _write_fgb)
        table = read(path)
        for at, column in enumerate(table.column_names):
            if column in {"name", "file"}:
                cells = [name if cell == file else cell for cell in table[column].to_pylist()]
                table = table.set_column(at, table.schema.field(at), pa.array(cells, table.schema.field(at).type))
        write(table, path)


def _fgb(path: Path) -> pa.Table:
    return pyogrio.read_arrow(path)[1]


def _write_fgb(table: pa.Table, path: Path) -> None:
    pyogrio.write_arrow(
        table,
        path,
        driver="FlatGeobuf",
        geometry_name=_NOWHERE,
        geometry_type="Point",
        crs="EPSG:4326",
        SPATIAL_INDEX="NO",
    )
