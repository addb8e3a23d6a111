"""Changes of contents that consist of tables: GeoParquet and GeoPackage."""

from __future__ import annotations

import io
import json
import os
import random
import sqlite3
import tempfile
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq

from tests.fuzz.changes import JUNK, VALUES, Raw, changed_value

NAMES = ("string", "binary", "int8", "float32", "large_binary", "bool", "date32", "null", "timestamp[us]")
TYPES = tuple(pa.type_for_alias(name) for name in NAMES)


def parquet(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change a table of GeoParquet: its metadata, a column, a geometry; or its bytes."""
    if rng.randrange(3) == 0:
        return raw(content)
    try:
        table = _changed(pq.read_table(io.BytesIO(content)), rng, raw)
        stream = io.BytesIO()
        pq.write_table(table, stream, compression=rng.choice(["none", "snappy", "gzip"]))
    except Exception:  # what is no such table is changed as bytes
        return raw(content)
    return stream.getvalue()


def _changed(table: pa.Table, rng: random.Random, raw: Raw) -> pa.Table:
    at = rng.randrange(table.num_columns)
    name, column = table.schema.field(at).name, table.column(at)
    match rng.randrange(7):
        case 0 | 1:
            said = dict(table.schema.metadata or {})
            key = rng.choice([b"geo", *said])
            try:
                value: Any = json.loads(said.get(key, b"{}"))
            except ValueError:
                value = {}
            return table.replace_schema_metadata({**said, key: json.dumps(changed_value(value, rng)).encode()})
        case 2:
            return table.set_column(at, name, _cast(column, rng))
        case 3:
            return table.remove_column(at) if table.num_columns > 1 else table
        case 4:
            return table.append_column(rng.choice([name, "geometry", "id", *VALUES]), column)
        case 5:
            odd = rng.choice([pa.array([{"a": 1}] * len(table)), pa.array([[1]] * len(table)), pa.nulls(len(table))])
            return table.set_column(at, name, odd)
        case _:
            return table.set_column(at, name, _one_value(column, rng, raw))


def _cast(column: pa.ChunkedArray, rng: random.Random) -> pa.Array:
    wanted = rng.choice(TYPES)
    try:
        return column.combine_chunks().cast(wanted)
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
        return pa.nulls(len(column), wanted)


def _one_value(column: pa.ChunkedArray, rng: random.Random, raw: Raw) -> pa.Array:
    values = column.to_pylist()
    if not values:
        return column
    row = rng.randrange(len(values))
    if isinstance(values[row], bytes):
        values[row] = raw(values[row])
    elif isinstance(values[row], str):
        values[row] = rng.choice(VALUES)
    else:
        values[row] = None
    return pa.array(values, column.type)


STATEMENTS = (
    "update {table} set {column} = ? where rowid = {row}",
    "update {table} set {column} = ? where rowid = {row}",
    "update {table} set {column} = ?",
    "update {table} set {column} = null where rowid = {row}",
    "delete from {table} where rowid = {row}",
    "insert into {table} select * from {table} limit 1",
    "alter table {table} rename column {column} to {word}",
    "alter table {table} add column {word} {type}",
    "alter table {table} drop column {column}",
    "drop table {table}",
    "create view {word} as select * from {table}",
    "create trigger {word} after update on {table} begin delete from {table}; end",
)


def geopackage(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change a GeoPackage by a statement of SQL; or its bytes."""
    if rng.randrange(4) == 0:
        return raw(content)
    place = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # noqa: S108
    with tempfile.TemporaryDirectory(dir=place) as folder:
        path = Path(folder, "x.gpkg")
        path.write_bytes(content)
        try:
            _statement(path, rng, raw)
        except (sqlite3.Error, IndexError, ValueError, OverflowError):
            return raw(content)
        return path.read_bytes()


def _statement(path: Path, rng: random.Random, raw: Raw) -> None:
    database = sqlite3.connect(path)
    try:
        database.execute("pragma writable_schema = on")
        names = [row[0] for row in database.execute("select name from sqlite_master where type = 'table'")]
        table = rng.choice(names)
        columns = [row[1] for row in database.execute(f'pragma table_info("{table}")')]
        column = rng.choice(columns)
        values = [row[0] for row in database.execute(f'select "{column}" from "{table}" limit 20')]  # noqa: S608
        old = rng.choice(values) if values else None
        new = raw(old) if isinstance(old, bytes) else rng.choice([*VALUES, *filter(_simple, JUNK), *values])
        statement = rng.choice(STATEMENTS).format(
            table=f'"{table}"',
            column=f'"{column}"',
            row=rng.randrange(1, 5),
            word=rng.choice(["id", "geom", '"x y"', "rate"]),
            type=rng.choice(["text", "blob", "integer", "real", "geometry", "json", ""]),
        )
        database.execute(statement, (new,) if "?" in statement else ())
        database.commit()
    finally:
        database.close()


def _simple(value: Any) -> bool:
    return value is None or isinstance(value, str | float) or (isinstance(value, int) and abs(value) < 1 << 62)
