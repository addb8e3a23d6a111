"""Layers as they were to be written against the tables that were read back: nothing may differ."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import pyarrow as pa

from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY, ID, Layer
from taskdata.formats.geometries import shapes
from taskdata.formats.layers.row_edits import equal


def unlike(layers: Sequence[Layer], tables: Mapping[str, RawTable]) -> Iterator[str]:
    """Yield in words what differs between layers and tables, row by row in the order that they were written in.

    Geometry is compared as rings and lines, to the last digit, without regard to where a ring begins and which way it
    runs: a writer may turn it.

    Parameters
    ----------
    layers : sequence of Layer
        What was to be written.
    tables : mapping of str to RawTable
        What was read, by layer.
    """
    wanted = {layer.name for layer in layers}
    yield from (f"the layer {name} is extra" for name in tables if name not in wanted)
    for layer in layers:
        raw = tables.get(layer.name)
        if raw is None:
            yield f"the layer {layer.name} is missing"
        elif raw.table.num_rows != layer.table.num_rows:
            yield f"the layer {layer.name} has {raw.table.num_rows} rows instead of {layer.table.num_rows}"
        else:
            yield from _columns(layer, raw.table)


def _columns(layer: Layer, table: pa.Table) -> Iterator[str]:
    for name in layer.table.column_names:
        before = layer.table[name]
        if name not in table.column_names:
            if before.null_count < len(before):
                yield f"the column {name} of {layer.name} is missing"
            continue
        after = _as(table[name], before.type)
        if not after.equals(before):
            yield from _cells(layer, name, before.to_pylist(), after.to_pylist())


def _as(column: pa.ChunkedArray, kind: pa.DataType) -> pa.ChunkedArray:
    """Return a column in the type that it was written from, as it is where it does not fit."""
    try:
        return column.cast(kind)
    except pa.ArrowException:
        return column


def _cells(layer: Layer, name: str, before: list[Any], after: list[Any]) -> Iterator[str]:
    same = _same_geometry if name == GEOMETRY else equal
    names = layer.table[ID].to_pylist() if ID in layer.table.column_names else [None] * len(before)
    for row, (old, new) in enumerate(zip(before, after, strict=True)):
        if not same(old, new):
            said = "differs" if name == GEOMETRY else f"is {new!r} instead of {old!r}"
            yield f"{name} of {names[row] or f'row {row + 1}'} in {layer.name} {said}"


def _same_geometry(old: bytes | None, new: bytes | None) -> bool:
    return old == new or shapes.alike(shapes.from_wkb(old), shapes.from_wkb(new))
