"""A few rows from all over a table or column, without reading the others."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
import pyarrow as pa

from taskdata.formats.spooling import put_back

_RUNS = 50

Rows = TypeVar("Rows", pa.Table, pa.ChunkedArray)


def some_rows(rows: Rows, most: int) -> Rows:
    """Return so many rows in runs at even distances, all of them where there are no more.

    Each run is cut out by itself: ``take`` would put the whole column together first.
    """
    if len(rows) <= most:
        return rows
    run = max(1, most // _RUNS)
    chosen = np.linspace(0, len(rows) - run, most // run).astype(np.int64).tolist()
    if isinstance(rows, pa.Table):
        found = pa.concat_tables([rows.slice(row, run) for row in chosen]).combine_chunks()
    else:
        pieces = [chunk for row in chosen for chunk in rows.slice(row, run).chunks]
        found = pa.chunked_array([pa.concat_arrays(pieces)])
    put_back()
    return found
