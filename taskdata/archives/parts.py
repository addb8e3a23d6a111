"""Rows of a catalogue into files of Parquet, a file for each layer and year, some rows at a time."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import ExitStack
from dataclasses import field
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import pyarrow as pa
import pyarrow.parquet as pq

from taskdata.archives.layers import LAYERS
from taskdata.archives.register import in_utf8
from taskdata.dataclass import dataclass
from taskdata.formats.columns import GEOMETRY, ColumnType, LayerSpec, Row, from_rows
from taskdata.formats.geometries.geo_metadata import Geometries

_ROWS = 5_000
"""Rows that are held of one file at most."""
_BYTES = 64_000_000
"""Bytes of geometry, as text, that are held of all files at most."""


class Parts:
    """The files that one call adds.

    Parameters
    ----------
    folder : Path
        The catalogue.
    name : str
        Name of the files.
    """

    def __init__(self, folder: Path, name: str) -> None:
        self.folder = folder
        self.name = name
        self._open: dict[tuple[str, str], _Part] = {}
        self._held = 0
        self._stack = ExitStack()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if error is None:
            for part in self._open.values():
                part.finish()
        self._stack.close()

    def add(self, layer: str, year: str, rows: Iterable[Row]) -> None:
        """Add rows of a layer, of one year."""
        part = self._open.get((layer, year)) or self._begun(layer, year)
        for row in rows:
            part.rows.append(row)
            self._held += len(row.get(GEOMETRY) or "")
        if len(part.rows) >= _ROWS:
            part.flush()
        if self._held >= _BYTES:
            for item in self._open.values():
                item.flush()
            self._held = 0

    def _begun(self, layer: str, year: str) -> _Part:
        path = self.folder / layer / f"year={year}" / self.name
        path.parent.mkdir(parents=True, exist_ok=True)
        spec = LAYERS[layer]
        schema = from_rows(spec, []).schema
        writer = pq.ParquetWriter(path, schema, compression="zstd", store_schema=False)  # or it hides what is added
        file = self._stack.enter_context(writer)
        part = self._open[layer, year] = _Part(spec, file)
        return part


@dataclass(eq=False)
class _Part:
    """One file, and the rows that it gets next."""

    spec: LayerSpec
    file: pq.ParquetWriter
    rows: list[Row] = field(default_factory=list)
    shapes: Geometries = field(default_factory=Geometries)

    def flush(self) -> None:
        """Write the rows that are held."""
        if not self.rows:
            return
        times = [column.name for column in self.spec.columns if column.type is ColumnType.TIME]
        table = from_rows(self.spec, [_stored(row, times) for row in self.rows]).table
        if self.spec.geometry is not None:
            self.shapes.note(pa.chunked_array(table[GEOMETRY].chunks, pa.binary()))
        self.file.write_table(table)
        self.rows.clear()

    def finish(self) -> None:
        """Write what is left, and what the geometries are."""
        self.flush()
        if self.spec.geometry is not None:
            self.file.add_key_value_metadata({"geo": self.shapes.metadata()})


def _stored(row: Row, times: Iterable[str]) -> Row:
    """Return a row with its geometry as bytes and its times as such, both of which came as text."""
    own: dict[str, Any] = {name: in_utf8(value) if isinstance(value, str) else value for name, value in row.items()}
    own |= {GEOMETRY: None if row.get(GEOMETRY) is None else bytes.fromhex(row[GEOMETRY])}
    for name in times:
        own[name] = None if row.get(name) is None else datetime.fromisoformat(row[name])
    return own
