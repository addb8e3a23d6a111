"""From a time log back to exactly the bytes it was decoded from."""

from __future__ import annotations

import numpy as np

from taskdata.isoxml.timelog.layout import COUNT, INDEX, VALUE, pair_dtype
from taskdata.isoxml.timelog.log import TimeLog
from taskdata.isoxml.timelog.walk import PAIR

CHUNK = 1 << 15


def encode(log: TimeLog) -> bytes:
    """Return the binary file of ``log``, its trailing bytes included."""
    if not log.layout.counted:
        return log.rows.tobytes() + log.trailing
    ends = np.concatenate([[0], np.cumsum(log.rows[COUNT], dtype=np.int64)])
    parts = []
    for first in range(0, len(log), CHUNK):
        last = min(first + CHUNK, len(log))
        parts.append(_chunk(log, first, last, int(ends[first]), int(ends[last])))
    return b"".join([*parts, log.trailing])


def _chunk(log: TimeLog, first: int, last: int, pair: int, pair_end: int) -> bytes:
    head = log.layout.dtype.itemsize
    rows = log.rows[first:last]
    counts = rows[COUNT].astype(np.int64)
    before = np.cumsum(counts) - counts
    starts = np.arange(rows.size) * head + PAIR * before
    out = np.empty(rows.size * head + PAIR * (pair_end - pair), dtype=np.uint8)
    np.ndarray((out.size - head + 1,), f"V{head}", buffer=out, strides=(1,))[starts] = np.ascontiguousarray(rows).view(
        f"V{head}"
    )
    if pair_end > pair:
        pairs = np.empty(pair_end - pair, dtype=pair_dtype())
        pairs[INDEX], pairs[VALUE] = log.index[pair:pair_end], log.value[pair:pair_end]
        places = np.repeat(starts + head - PAIR * before, counts) + np.arange(0, PAIR * pairs.size, PAIR)
        np.ndarray((out.size - PAIR + 1,), f"V{PAIR}", buffer=out, strides=(1,))[places] = pairs.view(f"V{PAIR}")
    return out.tobytes()
