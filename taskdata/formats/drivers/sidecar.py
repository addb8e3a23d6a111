"""What a shapefile cannot hold, in a JSON file beside it; ``schemas/shapefile-sidecar.schema.json`` describes it."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from taskdata import strict_json
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError, UnfitError, unfit
from taskdata.file_formats.table import format_named
from taskdata.formats import side_tables
from taskdata.formats.columns import GEOMETRY, LABEL, Column, ColumnType, Layer, LayerSpec
from taskdata.model.carried import Carried

NAME = format_named("shapefile").folder_files[0]
"""Name of the file in a folder of shapefiles; that of one shapefile alone begins with the shapefile's name."""

FORMAT = "taskdata shapefile sidecar"
VERSION = 1
NAME_LENGTH = 10


@dataclass(frozen=True, slots=True)
class Stored:
    """A column of a layer as a shapefile keeps it: its full and short name, its type, and what it shows in words."""

    name: str
    short: str
    type: ColumnType
    label: str | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell whose value a shapefile cannot keep.

    Parameters
    ----------
    row : int
        Number of the row as written, from 0.
    identity : tuple
        Values of the columns that tell the rows of the layer apart.
    column : str
        Full name.
    stored, value
        What the shapefile keeps, and what it should be. A cell that no longer holds ``stored`` was edited.
    """

    row: int
    identity: tuple[Any, ...]
    column: str
    stored: Any
    value: Any


def columns(layer: Layer) -> list[Stored]:
    """Return the columns of a layer with short names that differ from each other without regard to case."""
    found: list[Stored] = []
    used: set[str] = set()
    for name in layer.attributes.column_names:
        known = layer.spec.by_name.get(name)
        wanted = _short(known.short if known and known.short else _shorter(name))
        short, number = wanted, 1
        while short in used:
            number += 1
            short = f"{wanted[: NAME_LENGTH - 1 - len(str(number))]}_{number}"
        used.add(short)
        field = layer.table.schema.field(name)
        label = (field.metadata or {}).get(LABEL)
        found.append(Stored(name, short, _type(field.type), None if label is None else label.decode()))
    return found


def shortened(column: Column) -> str:
    """Return the name under which a shapefile holds a column of a documented layer."""
    return _short(column.short or _shorter(column.name))


def _short(name: str) -> str:
    return name[:NAME_LENGTH].rstrip("_")


def _shorter(name: str) -> str:
    return name.replace("ddi_", "d", 1).replace("raw_value_", "raw_", 1)


def lengthened(table: pa.Table, spec: LayerSpec) -> pa.Table:
    """Return a layer that lost its sidecar under the full names of its columns, where a short name is that of one."""
    full = {(column.short or column.name)[:NAME_LENGTH]: column.name for column in spec.columns}
    present = set(table.column_names)
    return table.rename_columns(
        [full[name] if name in full and full[name] not in present else name for name in table.column_names]
    )


def deviating(layer: Layer, stored: pa.Table, kept: Sequence[Stored]) -> Iterator[Cell]:
    """Yield the cells that differ between a layer and what a shapefile gave back.

    Parameters
    ----------
    stored : pyarrow.Table
        Under short names, rows in the order of the layer.
    """
    identity = [layer.table[name] for name in layer.spec.identity]
    for column in kept:
        wanted, given = storable(layer.table[column.name]), stored[column.short]
        same = pc.equal(wanted, given.cast(wanted.type, safe=False))
        different = pc.invert(pc.coalesce(same, pc.and_(pc.is_null(wanted), pc.is_null(given))))
        for row in np.flatnonzero(different.to_numpy()).tolist():
            place = tuple(part[row].as_py() for part in identity)
            yield Cell(row, place, column.name, given[row].as_py(), wanted[row].as_py())


def storable(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """Return a column as a shapefile can hold it: times as text, the rest as it is."""
    if not pa.types.is_timestamp(column.type):
        return column
    texts = np.datetime_as_string(column.to_numpy().astype("datetime64[ms]")).tolist()
    return pa.chunked_array([pa.array([None if text == "NaT" else text for text in texts], pa.string())])


def own_place(shapefile: Path) -> Path:
    """Return where the file of one shapefile alone stands."""
    return shapefile.with_name(f"{shapefile.stem}.{NAME}")


def write(place: Path, kept: dict[str, list[Stored]], cells: dict[str, list[Cell]], carried: Carried | None) -> None:
    """Write the file; ``kept`` and ``cells`` are by layer."""
    with place.open("w", encoding="utf-8", newline="\n") as file:
        head = {"format": FORMAT, "version": VERSION}
        file.write(strict_json.dumps(head)[:-1] + ',\n"layers": {')
        for number, (name, stored) in enumerate(kept.items()):
            body = {"columns": [asdict(column) for column in stored], "cells": [asdict(cell) for cell in cells[name]]}
            file.write(("," if number else "") + f"\n{strict_json.dumps(name)}: {strict_json.dumps(body)}")
        file.write("\n}")
        for layer in side_tables.with_side_tables((), carried):
            file.write(f",\n{strict_json.dumps(layer.name)}: [")
            for number, row in enumerate(layer.rows()):
                text = {key: _plain(value) for key, value in row.items()}
                file.write(("," if number else "") + "\n" + strict_json.dumps(text))
            file.write("\n]")
        file.write("\n}\n")


def read(place: Path) -> dict[str, Any] | None:
    """Return the document at a place, None where there is none.

    Raises
    ------
    SourceError
        It is damaged.
    """
    if not place.is_file():
        return None
    with unfit_is_damage(place):
        document = json.loads(place.read_text(encoding="utf-8"))
        if document["format"] != FORMAT or document["version"] > VERSION:
            raise UnfitError("it is of another format or a later version")
        if not isinstance(document["layers"], dict):
            raise UnfitError("it lists no layers")
        return dict(document)


@contextmanager
def unfit_is_damage(place: Path) -> Iterator[None]:
    """Turn what goes wrong while the file at a place is made use of into a `SourceError`."""
    try:
        yield
    except (ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError) as error:
        raise SourceError(
            "The sidecar file is damaged",
            where=place,
            why=unfit(error),
            remedy="Restore it, or remove it to read only the shapefiles.",
        ) from error


def restored(table: pa.Table, layer: dict[str, Any], spec: LayerSpec | None) -> pa.Table:
    """Return a table as it was read under its full names, with full values and types."""
    stored = [Stored(item["name"], item["short"], ColumnType(item["type"])) for item in layer["columns"]]
    full = {column.short.lower(): column for column in stored}
    names = [full[name.lower()].name if name.lower() in full else name for name in table.column_names]
    table = table.rename_columns(names)
    values = {name: table[name].to_pylist() for name in {cell["column"] for cell in layer["cells"]} & set(names)}
    place = _places(table, spec.identity if spec and values else ())
    for cell in layer["cells"]:
        row = place(cell["row"], tuple(cell["identity"]))
        if row is not None and cell["column"] in values and values[cell["column"]][row] == cell["stored"]:
            values[cell["column"]][row] = cell["value"]
    types = {column.name: column.type for column in stored}
    arrays = {}
    for name in names:
        column = pa.array(values[name]) if name in values else table[name]
        arrays[name] = _typed(column, types[name]) if name in types and name != GEOMETRY else column
    return pa.table(arrays)


def carried_tables(document: dict[str, Any]) -> dict[str, pa.Table]:
    """Return the side tables of a document."""
    tables = {}
    for name in side_tables.SPECS:
        if name in document:
            rows = document[name]
            if name == side_tables.FILES.name:
                rows = [row | {"content": base64.b64decode(row["content"])} for row in rows]
            names = list(side_tables.SPECS[name].by_name)
            tables[name] = pa.table({column: pa.array([row[column] for row in rows]) for column in names})
    return tables


def _places(table: pa.Table, identity: Sequence[str]) -> Any:
    """Return a function that finds a row by its number as written, or else by its identity."""
    there = [name for name in identity if name in table.column_names]
    keys = list(zip(*(table[name].to_pylist() for name in there), strict=True)) if there else []
    index = {key: row for row, key in enumerate(keys)}

    def find(row: int, wanted: tuple[Any, ...]) -> int | None:
        if len(there) < len(identity) or None in wanted:
            return row if row < table.num_rows else None
        return row if row < len(keys) and keys[row] == wanted else index.get(wanted)

    return find


def _type(kind: pa.DataType) -> ColumnType:
    if pa.types.is_boolean(kind):
        return ColumnType.BOOLEAN
    if pa.types.is_integer(kind):
        return ColumnType.INTEGER
    if pa.types.is_floating(kind):
        return ColumnType.REAL
    return ColumnType.TIME if pa.types.is_timestamp(kind) else ColumnType.TEXT


def _typed(column: Any, kind: ColumnType) -> Any:
    """Return a column in the type it was written from, or as it is where it no longer fits."""
    wanted = {
        ColumnType.BOOLEAN: pa.bool_(),
        ColumnType.INTEGER: pa.int64(),
        ColumnType.REAL: pa.float64(),
        ColumnType.TIME: pa.timestamp("ms"),
        ColumnType.TEXT: pa.string(),
    }[kind]
    try:
        return column.cast(wanted)
    except pa.ArrowException:
        return column


def _plain(value: Any) -> Any:
    return base64.b64encode(value).decode("ascii") if isinstance(value, bytes) else value
