"""The rows of a Parquet file, read within what a packed file may become.

A column of a few bytes can stand for gigabytes: values that repeat are stored once, with a count. What the footer says
of rows, values and pages, and the values that repeat, tell the size before rows are read; a file that may become large
is read piece by piece, and what has become of it is counted on the way.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from taskdata import limits
from taskdata.errors import SourceError
from taskdata.file_formats.regular import is_utf8
from taskdata.formats.distinct_names import distinct_names

_BYTES = "BYTE_ARRAY"
_WIDTHS = {"BOOLEAN": 1, "INT32": 4, "INT64": 8, "INT96": 12, "FLOAT": 4, "DOUBLE": 8, _BYTES: 8}
_PREFIXES = "DELTA_BYTE_ARRAY"
_PIECE = 16 << 20
_MOST_ROWS = 65_536


def opened(path: Path, **options: Any) -> pq.ParquetFile:
    """Open a file; pyarrow knows paths in UTF-8 alone."""
    return pq.ParquetFile(path if is_utf8(path) else path.open("rb"), **options)


def table_of(file: pq.ParquetFile, path: Path) -> pa.Table:
    """Return all rows of a file.

    Parameters
    ----------
    file : pyarrow.parquet.ParquetFile
        The file.
    path : Path
        Where it lies.

    Raises
    ------
    SourceError
        It becomes more than there is room for.
    ArrowException, OSError
        It is damaged.
    """
    size = path.stat().st_size
    room = limits.room_for(size)
    fixed = sum(_fixed(file, group) for group in range(file.num_row_groups))
    if fixed > room:
        raise _too_large(path, size, fixed)
    longest = _longest(path, file)
    if fixed + sum(_repeated(file, group, longest[group]) for group in range(file.num_row_groups)) <= room:
        return _sound(file.read())
    batches: list[pa.RecordBatch] = []
    taken = 0
    for group, lengths in enumerate(longest):
        rows = max(1, min(_MOST_ROWS, _PIECE // max(1, sum(lengths.values()))))
        for batch in file.iter_batches(rows, row_groups=[group]):
            taken += batch.nbytes
            if taken > room:
                raise _too_large(path, size, taken)
            batches.append(batch)
    return _sound(pa.Table.from_batches(batches, file.schema_arrow))


def _sound(table: pa.Table) -> pa.Table:
    """Look into all values, since texts that are none are read as they are, and give each column a name of its own."""
    table.validate(full=True)
    names = distinct_names(table.column_names)
    return table if names == table.column_names else table.rename_columns(names)


def _too_large(path: Path, size: int, taken: int) -> SourceError:
    name = limits.binding(size)
    return SourceError(
        "The Parquet file cannot be read",
        where=path,
        why=f"its {size} bytes would become at least {taken} bytes in memory, and {limits.told(name)}",
        remedy=limits.raising(name),
    )


def _fixed(file: pq.ParquetFile, group: int) -> int:
    """Return how many bytes the values of a group take at least, once they are unpacked."""
    facts = file.metadata.row_group(group)
    total = 0
    for at in range(facts.num_columns):
        chunk, column = facts.column(at), file.schema.column(at)
        width = _WIDTHS.get(chunk.physical_type, column.length or 1)
        total += max(max(facts.num_rows, chunk.num_values, 0) * width, chunk.total_uncompressed_size)
    return total


def _repeated(file: pq.ParquetFile, group: int, longest: dict[int, int]) -> int:
    """Return how many bytes the texts of a group take at most."""
    facts = file.metadata.row_group(group)
    chunks = {at: facts.column(at) for at in longest}
    return sum(max(facts.num_rows, chunk.num_values, 0) * longest[at] for at, chunk in chunks.items())


def _longest(path: Path, file: pq.ParquetFile) -> list[dict[int, int]]:
    """Return for each group the length of the longest value that may repeat, by the number of each column of bytes."""
    names = [file.schema.column(at).path for at in range(len(file.schema))]
    columns = [at for at in range(len(names)) if file.schema.column(at).physical_type == _BYTES]
    repeated = [names[at] for at in columns if file.schema.column(at).max_repetition_level == 0]
    probe = opened(path, metadata=file.metadata, read_dictionary=repeated)
    found: list[dict[int, int]] = []
    for group in range(file.num_row_groups):
        facts = file.metadata.row_group(group)
        first = next(probe.iter_batches(1, row_groups=[group], columns=repeated), None) if repeated else None
        known = {} if first is None else dict(zip(first.schema.names, first.columns, strict=True))
        found.append({})
        for at in columns:
            chunk, array = facts.column(at), known.get(names[at])
            if array is None or _PREFIXES in chunk.encodings or not pa.types.is_dictionary(array.type):
                found[-1][at] = max(chunk.total_uncompressed_size, 0)
            else:
                found[-1][at] = pc.max(pc.binary_length(array.dictionary)).as_py() or 0
    return found
