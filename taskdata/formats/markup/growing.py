"""Tables that grow row by row, in Arrow memory."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc

from taskdata.formats.columns import GEOMETRY
from taskdata.formats.delimited.values import Kind, made

TIME = pa.timestamp("ms")
LOG = {
    "time": TIME,
    "up_m": pa.float64(),
    "fix": pa.int64(),
    "satellites": pa.int64(),
    "hdop": pa.float64(),
    "segment": pa.int64(),
    GEOMETRY: pa.large_binary(),
}
"""The columns of a log of positions."""

_PIECE = 16_384


class Growing:
    """A table that rows are added to.

    Parameters
    ----------
    types : dict of str to pyarrow.DataType
        The columns whose type is known; they are there even without a row. Every other one holds texts.
    """

    def __init__(self, types: Mapping[str, pa.DataType]) -> None:
        self.types = dict(types)
        self.count = 0
        self._names = dict.fromkeys(types)
        self._rows: list[dict[str, Any]] = []
        self._pieces: list[pa.Table] = []

    def add(self, row: dict[str, Any]) -> int:
        """Add a row, its geometry as well-known binary; return its number, from 1."""
        self._rows.append(row)
        self.count += 1
        if len(self._rows) >= _PIECE:
            self._flush()
        return self.count

    def table(self, sure: frozenset[str] = frozenset()) -> pa.Table:
        """Return all rows, the geometry last; texts that are all numbers or times are those.

        Parameters
        ----------
        sure : frozenset of str
            Columns that hold texts whatever they look like.
        """
        self._flush()
        schema = pa.schema([(name, self._type(name)) for name in self._names])
        whole = pa.concat_tables([schema.empty_table(), *self._pieces], promote_options="default")
        names = [*(name for name in whole.column_names if name != GEOMETRY), GEOMETRY]
        return pa.table({name: self._made(whole[name], name, sure) for name in names})

    def _made(self, column: pa.ChunkedArray, name: str, sure: frozenset[str]) -> pa.ChunkedArray:
        if name in self.types or name in sure:
            return column
        filled = pc.if_else(pc.equal(pc.utf8_trim_whitespace(column), ""), None, column)
        kind = Kind()
        for chunk in filled.chunks:
            kind.look(chunk)
        if kind.notation(comma=False) is None and not kind.time:
            return column
        return pa.chunked_array([made(chunk, kind, comma=False) for chunk in filled.chunks])

    def _type(self, name: str) -> pa.DataType:
        return self.types.get(name, pa.string())

    def _flush(self) -> None:
        if not self._rows:
            return
        self._names |= dict.fromkeys(name for row in self._rows for name in row)
        names = list(self._names)
        arrays = [pa.array([row.get(name) for row in self._rows], self._type(name)) for name in names]
        self._pieces.append(pa.Table.from_arrays(arrays, names=names))
        self._rows.clear()
