"""The side layer as tables: two tables without geometry that every format keeps beside its layers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from types import MappingProxyType

import pyarrow as pa

from taskdata.errors import SourceError, unfit
from taskdata.formats.columns import Column, ColumnType, Layer, LayerSpec, LongLayer, from_rows, rows_of
from taskdata.model.carried import Carried, CarriedElement, CarriedFile
from taskdata.progress import stage

ELEMENTS = LayerSpec(
    "carried_elements",
    None,
    "Every element of the task data set, so that nothing is lost on the way back. Do not change it.",
    (
        Column("key", ColumnType.INTEGER, "Number in document order, from 0; the key of the other layers"),
        Column("parent", ColumnType.INTEGER, "Key of the element above, -1 for a root"),
        Column("file", ColumnType.TEXT, "Name of the XML file"),
        Column("tag", ColumnType.TEXT, "Tag, or #text, #comment, #instruction, #points"),
        Column("content", ColumnType.TEXT, "Attributes as a JSON object; the text of other nodes as a JSON string"),
    ),
)

FILES = LayerSpec(
    "carried_files",
    None,
    "Every file of the task data set; those that are not XML with their bytes. Do not change it.",
    (
        Column("name", ColumnType.TEXT, "Name as stored"),
        Column("role", ColumnType.TEXT, "What the file is", ("main", "external", "header", "linklist", "other")),
        Column("part", ColumnType.INTEGER, "Number of the part of a long file, from 0"),
        Column("facts", ColumnType.TEXT, "Encoding of an XML file, or size of another file, as a JSON object"),
        Column("content", ColumnType.BINARY, "Bytes compressed with zlib; empty for XML files"),
    ),
    identity=("name", "part"),
)

_ELEMENTS_AT_ONCE = 2_048

SPECS: Mapping[str, LayerSpec] = MappingProxyType({spec.name: spec for spec in (ELEMENTS, FILES)})


def with_side_tables(layers: Sequence[Layer], carried: Carried | None) -> Iterator[Layer]:
    """Yield layers and then the side tables, each counted as written when the next is asked for."""
    everything = (*layers, *(to_layers(carried) if carried else ()))
    with stage("Writing layers", "rows", sum(layer.count for layer in everything)) as advance:
        for layer in everything:
            yield layer
            advance(layer.count)


def to_layers(carried: Carried) -> list[Layer]:
    """Return the two tables."""
    return [_in_pieces(ELEMENTS, carried.elements, _ELEMENTS_AT_ONCE), _in_pieces(FILES, carried.files, 1)]


def _in_pieces(spec: LayerSpec, rows: Sequence[CarriedElement | CarriedFile], at_once: int) -> Layer:
    """Return a table; made of so many rows at a time where they wait to be made or read."""
    if isinstance(rows, tuple):
        return _layer(spec, rows)

    def tables() -> Iterator[pa.Table]:
        waiting = iter(rows)
        while some := list(islice(waiting, at_once)):
            yield _layer(spec, some).table

    return LongLayer(spec, from_rows(spec, []).table.schema, len(rows), tables)


def _layer(spec: LayerSpec, rows: Sequence[CarriedElement | CarriedFile]) -> Layer:
    names = [column.name for column in spec.columns]
    return from_rows(spec, [{name: getattr(row, name) for name in names} for row in rows])


def from_tables(tables: Mapping[str, pa.Table], where: str) -> Carried | None:
    """Return what two tables carry, None where neither is there.

    Raises
    ------
    SourceError
        One is missing, or a column.
    """
    present = [name for name in SPECS if name in tables]
    if not present:
        return None
    try:
        elements, files = (_typed(SPECS[name], tables[name]) for name in SPECS)
    except (KeyError, pa.ArrowException) as error:
        raise SourceError(
            "The carried tables are incomplete",
            where=where,
            why=unfit(error) if isinstance(error, KeyError) else "a column has the wrong type",
            remedy="Restore carried_elements and carried_files, or remove both to read only the layers.",
        ) from error
    elements = elements.sort_by("key")
    return Carried(
        tuple(CarriedElement(**row) for row in rows_of(elements)),
        tuple(CarriedFile(**(row | {"content": row["content"] or b""})) for row in rows_of(files)),
    )


def _typed(spec: LayerSpec, table: pa.Table) -> pa.Table:
    kinds = {
        ColumnType.INTEGER: pa.int64(),
        ColumnType.TEXT: pa.large_string(),
        ColumnType.BINARY: pa.large_binary(),
    }
    if not table.num_rows:
        return pa.table({column.name: pa.array([], kinds[column.type]) for column in spec.columns})
    arrays = {column.name: table[column.name].cast(kinds[column.type]) for column in spec.columns}
    for name, array in arrays.items():
        if array.null_count and name != "content":
            raise KeyError(f"{spec.name} has empty cells in {name}")
    return pa.table(arrays)
