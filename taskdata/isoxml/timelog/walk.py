"""Where the records of a time log start.

Records have different lengths, and only the count of values inside a record tells where the next one starts. Two exact
ways are combined: stretches of records with the same count are proved at once with one comparison of every count byte
at the assumed stride; elsewhere the chain is walked record by record, in many lanes side by side where there is much of
it. The walker changes between them by what it meets.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.isoxml.binary.flat_bytes import Octets
from taskdata.isoxml.timelog.lanes import chain

PAIR = 5
BLOCK = 1 << 20
LANES = 1 << 23
MOST = 1 << 26
LONG_RUN = 100
TRIALS = 32
_STEPS = PAIR * np.arange(256, dtype=np.int64)


@dataclass(frozen=True, slots=True)
class Run:
    """Records one after the other with the same number of values: first offset, number of records, values in each."""

    start: int
    records: int
    values: int


@dataclass(frozen=True, slots=True)
class Mixed:
    """Records of any length, by their offsets (int64)."""

    offsets: NDArray[np.int64]

    @property
    def records(self) -> int:
        """Number of records."""
        return self.offsets.size


Stretch: TypeAlias = Run | Mixed


def stretches(octets: Octets, head: int) -> tuple[list[Stretch], int]:
    """Return all whole records of a log as stretches in file order, and the offset after the last.

    Parameters
    ----------
    bytes : array of uint8
        The file.
    head : int
        Bytes before the values of a record, the count (the last of them) included.
    """
    found: list[Stretch] = []
    position = 0
    while True:
        before = position
        position = _take_runs(octets, head, position, found)
        block = _walk_block(octets, head, position)
        while block is not None:
            found.append(block)
            position = _after(octets, head, block)
            block = None if _mean_run(block) >= LONG_RUN else _walk_block(octets, head, position)
        if position == before:
            return found, position


def _take_runs(octets: Octets, head: int, position: int, found: list[Stretch]) -> int:
    """Append runs from ``position`` on while they are long on average; return the offset after them."""
    records = 0
    for trial in range(octets.size):
        run = _run(octets, head, position)
        if run is None:
            break
        found.append(run)
        position += run.records * (head + PAIR * run.values)
        records += run.records
        if trial % TRIALS == TRIALS - 1:
            if records < LONG_RUN * TRIALS:
                break
            records = 0
    return position


def _run(octets: Octets, head: int, position: int) -> Run | None:
    """Return the longest run of whole records with one count at ``position``, or None when no whole one is left."""
    if position + head > octets.size:
        return None
    values = int(octets[position + head - 1])
    step = head + PAIR * values
    most = (octets.size - position) // step
    if most == 0:
        return None
    counts = octets[position + head - 1 : position + most * step : step]
    proved, window = 0, 64
    while proved < most:
        differs = counts[proved : proved + window] != values
        first = int(differs.argmax())
        if differs[first]:
            return Run(position, proved + first, values)
        proved += differs.size
        window = min(window * 4, BLOCK)
    return Run(position, most, values)


def _walk_block(octets: Octets, head: int, position: int) -> Mixed | None:
    """Return the whole records that start within a block from ``position``, or None when there are none."""
    counts = octets[position + head - 1 : position + head - 1 + MOST]
    starts = chain(counts, _STEPS + head) if counts.size >= LANES else _walked(counts[:BLOCK], head)
    if starts.size and position + int(starts[-1]) + head + PAIR * int(counts[starts[-1]]) > octets.size:
        starts = starts[:-1]  # only the last one can reach past the end
    return Mixed(starts + position) if starts.size else None


def _walked(counts: Octets, head: int) -> NDArray[np.int64]:
    """Return the offsets of the records that start in a stretch, walked one by one."""
    data = counts.tobytes()
    steps = (_STEPS + head).tolist()
    starts: list[int] = []
    append = starts.append
    at, end = 0, len(data)
    while at < end:
        append(at)
        at += steps[data[at]]
    return np.array(starts, dtype=np.int64)


def _after(octets: Octets, head: int, block: Mixed) -> int:
    last = int(block.offsets[-1])
    return last + head + PAIR * int(octets[last + head - 1])


def _mean_run(block: Mixed) -> float:
    changes = np.count_nonzero(np.diff(block.offsets, n=2))
    return block.records / (int(changes) + 1)
