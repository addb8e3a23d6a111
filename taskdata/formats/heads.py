"""The names of columns as the beginning of a file has them, without its rows."""

from __future__ import annotations

import csv
import json
import re
import sqlite3
from collections.abc import Collection
from contextlib import closing
from html import unescape
from pathlib import Path
from typing import BinaryIO

_HEAD = 1 << 20
_PIECE = 1 << 20
_LONGEST = 256 << 20
"""Bytes of a first row beyond which nobody looks for its columns."""

_FEATURE = re.compile(r'\{\s*"type"\s*:\s*"Feature"\s*,')
_SIMPLE_FIELD = re.compile(r'<SimpleField\s[^>]*?name="([^"]*)"')
_CREATOR = re.compile(r'<gpx\s[^>]*?creator="taskdata"')
_GPX_NAME = re.compile(r"<metadata><name>(\w+)</name>")
_DBF_HEAD = 32
_ALL = "SELECT name, type = 'table' AND sql LIKE 'CREATE TABLE%' FROM sqlite_master WHERE type IN ('table', 'view')"
_OF = "SELECT name FROM pragma_table_info(?)"
_INNER = ("gpkg_", "rtree_", "sqlite_")
"""How the tables of GeoPackage itself, of its indexes and of SQLite begin."""
_ELEMENTS = ("name", "description", "time")
"""Columns that KML holds in elements of their own."""


def geojson_columns(path: Path) -> Collection[str] | None:
    """Return the names of the properties of the first feature, None where there is no feature.

    Raises
    ------
    ValueError
        It is no JSON, or its first feature is beyond any size.
    """
    text = ""
    with path.open(encoding="utf-8-sig") as file:
        while piece := file.read(_PIECE):
            text += piece
            found = _FEATURE.search(text)
            feature = None if found is None else _first_object(text, found.start())
            if feature is not None:
                return list(feature.get("properties") or ())
            if len(text) > _LONGEST:
                raise ValueError("its first feature is too long")
    if json.loads(text).get("features") != []:
        raise ValueError("it holds no collection of features")
    return None


def _first_object(text: str, start: int) -> dict[str, dict[str, object]] | None:
    try:
        found: dict[str, dict[str, object]] = json.JSONDecoder().raw_decode(text, start)[0]
    except ValueError:  # it goes on in the next piece
        return None
    return found


def kml_columns(stream: BinaryIO) -> Collection[str]:
    """Return the names of the columns of a KML document by its schema, and those of elements of their own."""
    with stream:
        text = stream.read(_HEAD).decode("utf-8", errors="replace")
    return {*map(unescape, _SIMPLE_FIELD.findall(text)), *_ELEMENTS}


def gpx_layer(path: Path) -> str | None:
    """Return the name of the layer that was written to a GPX file here; None where another program wrote it."""
    with path.open("rb") as file:
        text = file.read(_HEAD).decode("utf-8", errors="replace")
    name = _GPX_NAME.search(text) if _CREATOR.search(text) else None
    return None if name is None else name[1]


def csv_columns(path: Path) -> Collection[str]:
    """Return the names in the first row of text that is delimited by commas."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        return next(csv.reader([file.readline(_HEAD)]), [])


def dbf_columns(path: Path) -> Collection[str]:
    """Return the names of the columns of a dBASE table, from the descriptors of 32 bytes after its header."""
    with path.open("rb") as file:
        head = file.read(_HEAD)
    starts = range(_DBF_HEAD, int.from_bytes(head[8:10], "little") - 1, 32)
    names = (head[start : start + 11].split(b"\0")[0] for start in starts if head[start : start + 1] != b"\r")
    return [name.decode("utf-8", errors="replace") for name in names if name]


def tables_of(path: Path) -> dict[str, Collection[str]]:
    """Return the names of the columns of each table of an SQLite database but those of its own and its indexes.

    Nothing that is stored in it, such as a view or trigger, is run.

    Raises
    ------
    ValueError
        It is damaged, or another program is writing it.
    """
    beside = (path.with_name(f"{path.name}{ending}") for ending in ("-wal", "-journal", "-shm"))
    if any(item.exists() for item in beside):
        raise ValueError("another program has it open")
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)) as base:
            base.execute("PRAGMA trusted_schema=OFF")
            found = base.execute(_ALL).fetchall()
            own = {str(name): plain for name, plain in found if not str(name).lower().startswith(_INNER)}
            return {name: [row[0] for row in base.execute(_OF, (name,)) if plain] for name, plain in own.items()}
    except sqlite3.Error as error:
        raise ValueError(str(error)) from error
