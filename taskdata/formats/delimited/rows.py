"""The rows of a delimited text as texts, some thousands at a time, so that a large file never lies in memory whole."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import field
from pathlib import Path
from typing import TextIO

import pyarrow as pa
from pyarrow import csv as arrow_csv

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.file_formats.delimited.layout import Layout

BLOCK = 1 << 20
"""Bytes that are read at a time."""

_ROWS = 20_000
_CELL = 1 << 26
"""Characters that one cell may have."""

_UNEVEN = re.compile(r"Expected \d+ columns, got \d+")


class _Uneven(Exception):  # noqa: N818 - it ends a way of reading, and nothing is wrong
    """A row has fewer or more cells than there are columns."""


@dataclass
class Rows:
    """What was noticed while rows were read.

    Parameters
    ----------
    short : int
        Rows with fewer cells than columns; what they lack is blank.
    long : dict of int to str
        The cells beyond the last column, by the number of the row, from 1; of the first rows alone.
    more : int
        How many rows have such cells.
    """

    short: int = 0
    long: dict[int, str] = field(default_factory=dict)
    more: int = 0


def batches(path: Path, layout: Layout, seen: Rows) -> Iterator[pa.RecordBatch]:
    """Yield the rows of a file, every column as texts; a blank cell is null.

    Rows of equal length are read by Arrow; from the first that is not on, by Python's csv module.

    Raises
    ------
    UnicodeDecodeError
        The file is not in the encoding of its layout.
    SourceError
        It cannot be taken apart.
    """
    done = 0
    try:
        for batch in _even(path, layout):
            done += batch.num_rows
            yield batch
            pa.default_memory_pool().release_unused()
    except _Uneven:
        yield from _uneven(path, layout, seen, done)


def _even(path: Path, layout: Layout) -> Iterator[pa.RecordBatch]:
    names = list(layout.names)
    try:
        with arrow_csv.open_csv(
            path,
            arrow_csv.ReadOptions(
                use_threads=False,
                block_size=BLOCK,
                skip_rows=layout.skip,
                column_names=names,
                encoding=layout.encoding,
            ),
            arrow_csv.ParseOptions(delimiter=layout.delimiter, newlines_in_values=True, ignore_empty_lines=True),
            arrow_csv.ConvertOptions(
                column_types=dict.fromkeys(names, pa.string()),
                null_values=[""],
                strings_can_be_null=True,
                quoted_strings_can_be_null=True,
            ),
        ) as reader:
            yield from reader
    except pa.ArrowInvalid as error:
        if _UNEVEN.search(str(error)) or "straddling" in str(error):
            raise _Uneven from None
        if "UTF8" in str(error) or "UTF-8" in str(error):
            raise UnicodeDecodeError(layout.encoding, b"", 0, 0, "a text is in another encoding") from None
        if "Empty CSV file" in str(error):
            return
        raise SourceError("The rows could not be read", where=path, why=str(error), remedy="Check the file") from error


def _uneven(path: Path, layout: Layout, seen: Rows, done: int) -> Iterator[pa.RecordBatch]:
    """Yield the rows from one on, each brought to the number of columns."""
    with path.open(encoding=layout.encoding, newline="") as file:
        rows = _parsed(file, layout)
        width, piece = len(layout.names), []
        for number, cells in enumerate(rows, 1):
            if number <= done:
                continue
            if len(cells) < width:
                seen.short += 1
            elif any(cell.strip() for cell in cells[width:]):
                seen.more += 1
                if len(seen.long) < 10:
                    seen.long[number] = layout.delimiter.join(cells[width:])
            piece.append([cell or None for cell in [*cells, *[""] * (width - len(cells))][:width]])
            if len(piece) == _ROWS:
                yield _batch(piece, layout)
                piece = []
        if piece:
            yield _batch(piece, layout)


def _parsed(file: TextIO, layout: Layout) -> Iterator[list[str]]:
    for _ in range(layout.skip):
        file.readline()
    before = csv.field_size_limit(_CELL)
    try:
        yield from (cells for cells in csv.reader(file, delimiter=layout.delimiter) if cells)
    except csv.Error as error:
        raise SourceError(
            "The rows could not be read", where=file.name, why=str(error), remedy="Check the file"
        ) from error
    finally:
        csv.field_size_limit(before)


def _batch(rows: list[list[str | None]], layout: Layout) -> pa.RecordBatch:
    arrays = [pa.array(column, pa.string()) for column in zip(*rows, strict=True)]
    return pa.RecordBatch.from_arrays(arrays, names=list(layout.names))
