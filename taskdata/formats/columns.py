"""Layers and their columns: what every GIS format of this package is written from and read into.

A layer is a specification (name, geometry, documented columns) and an Arrow table in that order, with its geometry as
WKB in the last column.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from functools import cached_property
from typing import Any, TypeAlias

import pyarrow as pa

from taskdata.dataclass import dataclass

GEOMETRY = "geometry"
"""Name of the geometry column of a table."""

KEY = "key"
"""Name of the column that links a row to the element it came from."""

ID = "id"
"""Name of the column with the identifier of the standard."""

LABEL = b"GDAL:OGR:alternative_name"
"""What the metadata of a column call its label, a name for people; GDAL writes it where a format has room for one."""

Row: TypeAlias = dict[str, Any]
"""One row by column name."""


class ColumnType(StrEnum):
    """What a column holds."""

    TEXT = "text"
    INTEGER = "integer"
    REAL = "real"
    BOOLEAN = "boolean"
    TIME = "time"
    BINARY = "binary"


ARROW = {
    ColumnType.TEXT: pa.string(),
    ColumnType.INTEGER: pa.int64(),
    ColumnType.REAL: pa.float64(),
    ColumnType.BOOLEAN: pa.bool_(),
    ColumnType.TIME: pa.timestamp("ms"),
    ColumnType.BINARY: pa.binary(),
}


class GeometryType(StrEnum):
    """What the geometry of a layer is; the words are those of the formats."""

    POINT = "Point"
    LINE = "LineString"
    POLYGON = "Polygon"
    MULTIPOLYGON = "MultiPolygon"


@dataclass(frozen=True, slots=True)
class Column:
    """A documented column.

    Parameters
    ----------
    description : str
        One sentence for the public table.
    words : tuple of str
        The only texts it takes, where it is an enumeration.
    derived : bool
        Computed when writing; a change of it is not read back.
    meaning : callable or None
        Returns what a text of the column means, None where it means nothing.
    takes : str
        What the column takes, where ``meaning`` knows more than ``words`` say.
    short : str or None
        Name of at most ten characters for a shapefile; None = cut from the name.
    """

    name: str
    type: ColumnType
    description: str
    words: tuple[str, ...] = ()
    derived: bool = False
    short: str | None = None
    meaning: Callable[[object], object] | None = None
    takes: str = ""


@dataclass(frozen=True)
class LayerSpec:
    """A documented layer; ``geometry`` None = a table without geometry.

    ``identity`` names the columns that tell its rows apart; ``may_be_empty`` says that a row may lack its geometry and
    still mean something. ``patterns`` documents columns that depend on the data:
    a regular expression of the name, and a column that stands for them.
    """

    name: str
    geometry: GeometryType | None
    description: str
    columns: tuple[Column, ...]
    identity: tuple[str, ...] = (KEY,)
    may_be_empty: bool = False
    patterns: tuple[tuple[str, Column], ...] = ()

    @cached_property
    def by_name(self) -> Mapping[str, Column]:
        """The columns by name."""
        return {column.name: column for column in self.columns}


@dataclass(frozen=True)
class Layer:
    """A layer filled with data; columns that depend on the data come after those of the specification."""

    spec: LayerSpec
    table: pa.Table

    @property
    def name(self) -> str:
        """Name of the layer, which is also that of its file or table."""
        return self.spec.name

    @property
    def schema(self) -> pa.Schema:
        """The columns."""
        return self.table.schema

    @property
    def count(self) -> int:
        """How many rows there are."""
        return int(self.table.num_rows)

    def reader(self) -> pa.RecordBatchReader:
        """Return the rows, batch by batch."""
        return self.table.to_reader()

    @property
    def attributes(self) -> pa.Table:
        """The table without its geometry."""
        return self.table.drop_columns([GEOMETRY]) if GEOMETRY in self.table.column_names else self.table

    def rows(self) -> list[Row]:
        """Return the rows as dicts; the geometry stays WKB."""
        return rows_of(self.table)


class LongLayer(Layer):
    """A layer of very many rows, which are made when they are written, some at a time.

    Parameters
    ----------
    spec : LayerSpec
        What it holds.
    schema : pyarrow.Schema
        Its columns, the geometry last.
    rows_in_all : int
        How many rows there are.
    make : callable
        Makes tables of the rows, in their order; their columns are some of the schema.
    """

    _made: tuple[pa.Schema, int, Callable[[], Iterator[pa.Table]]]

    def __init__(
        self, spec: LayerSpec, schema: pa.Schema, rows_in_all: int, make: Callable[[], Iterator[pa.Table]]
    ) -> None:
        object.__setattr__(self, "spec", spec)
        object.__setattr__(self, "_made", (schema, rows_in_all, make))

    def __eq__(self, other: object) -> bool:
        return self is other

    def __hash__(self) -> int:
        return id(self)

    @cached_property
    def table(self) -> pa.Table:
        """All rows at once, in memory."""
        return self.reader().read_all()

    @property
    def schema(self) -> pa.Schema:
        """The columns."""
        return self._made[0]

    @property
    def count(self) -> int:
        """How many rows there are."""
        return self._made[1]

    def reader(self) -> pa.RecordBatchReader:
        """Return the rows, batch by batch."""
        schema, _, make = self._made
        return pa.RecordBatchReader.from_batches(
            schema, (batch for table in make() for batch in _batches(table, schema))
        )


def _batches(table: pa.Table, schema: pa.Schema) -> list[pa.RecordBatch]:
    """Return the rows of a table with all columns of a schema, empty where it lacks one."""
    names = set(table.column_names)
    columns = [
        table[field.name].cast(field.type) if field.name in names else pa.nulls(table.num_rows, field.type)
        for field in schema
    ]
    found: list[pa.RecordBatch] = pa.Table.from_arrays(columns, schema=schema).to_batches()
    return found


def from_rows(spec: LayerSpec, rows: Sequence[Row]) -> Layer:
    """Return a layer of rows given as dicts with every column of the specification, geometry as WKB or None."""
    arrays = [pa.array([row.get(column.name) for row in rows], ARROW[column.type]) for column in spec.columns]
    names = [column.name for column in spec.columns]
    if spec.geometry is not None:
        arrays.append(pa.array([row.get(GEOMETRY) for row in rows], pa.binary()))
        names.append(GEOMETRY)
    return Layer(spec, pa.Table.from_arrays(arrays, names=names))


def stacked(spec: LayerSpec, tables: Sequence[pa.Table]) -> pa.Table:
    """Return tables of one layer, whose further columns may differ, as one, with the geometry last."""
    schema = pa.schema([(column.name, ARROW[column.type]) for column in spec.columns] + [(GEOMETRY, pa.binary())])
    table = pa.concat_tables(tables, promote_options="permissive") if tables else schema.empty_table()
    others = [name for name in table.column_names if name != GEOMETRY]
    return table.select([*others, GEOMETRY])


def rows_of(table: pa.Table) -> list[Row]:
    """Return the rows of a table as dicts."""
    names = table.column_names
    return [dict(zip(names, values, strict=True)) for values in zip(*_lists(table), strict=True)]


def key_column(of: str) -> Column:
    """Return the ``key`` column of a layer whose rows are each an ``of``."""
    return Column(
        KEY,
        ColumnType.INTEGER,
        f"Number of the element that the {of} came from; do not change it, leave it empty in new rows",
    )


def _lists(table: pa.Table) -> Iterable[list[Any]]:
    return (column.to_pylist() for column in table.columns)
