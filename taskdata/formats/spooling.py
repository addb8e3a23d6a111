"""Tables of very many rows, kept in a file and mapped from it, so that they need not fit into memory.

Rows that were looked at stay in memory until it is told that they are done with (`put_back`); they are read from the
file again when they are needed again.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator
from typing import IO, TypeVar

import pyarrow as pa

from taskdata import mapped

Item = TypeVar("Item")


class Spool:
    """Batches of one schema, put together to a table."""

    def __init__(self) -> None:
        self._batches: list[pa.RecordBatch] = []
        self._size = 0
        self._file: IO[bytes] | None = None
        self._writer: pa.ipc.RecordBatchFileWriter | None = None

    def add(self, batch: pa.RecordBatch) -> None:
        """Put a batch behind those that are there."""
        if self._writer is not None:
            self._writer.write_batch(batch)
            return
        self._batches.append(batch)
        self._size += batch.nbytes
        if self._size > mapped.IN_MEMORY:
            self._file = tempfile.TemporaryFile(prefix="taskdata-")  # noqa: SIM115  # gone with the table mapped from it
            self._writer = pa.ipc.new_file(self._file, batch.schema)
            for earlier in self._batches:
                self._writer.write_batch(earlier)
            self._batches = []

    def table(self) -> pa.Table | None:
        """Return all batches as a table, None where there are none; nothing can be added after that."""
        if self._writer is None or self._file is None:
            return pa.Table.from_batches(self._batches) if self._batches else None
        self._writer.close()
        self._file.flush()
        whole = mapped.map_file(self._file.fileno(), 0, writable=False)
        self._file.close()
        return pa.ipc.open_file(pa.py_buffer(whole)).read_all()


def put_back() -> None:
    """Give the memory back that rows of mapped tables take."""
    if mapped.put_back():
        pa.default_memory_pool().release_unused()


def a_few(items: Iterable[Item]) -> Iterator[Item]:
    """Yield pieces of tables, and give back the memory of each when the next is asked for."""
    for item in items:
        yield item
        put_back()
