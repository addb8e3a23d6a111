"""How long a logged value holds: from its record to the next of the same quantity, but not over a pause."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import field

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.model.logs import LogRecords

PAUSE_S, PAUSE_INTERVALS = 60.0, 5.0
"""No value holds over a longer time without a record, and over more usual intervals; common practice."""


def pause_s(times: Iterable[NDArray[np.datetime64]]) -> float:
    """Return from how many seconds without a record a log pauses, by the times of its records, some at a time."""
    counts: Counter[int] = Counter()
    last: np.datetime64 | None = None
    for time in times:
        _, steps, last = _steps(time, last)
        later, how_many = np.unique(steps[steps > 0], return_counts=True)
        counts.update(dict(zip(later.tolist(), how_many.tolist(), strict=True)))
    if not counts:
        return np.inf
    return max(PAUSE_S, PAUSE_INTERVALS * _median(counts) / 1000.0)


def _median(counts: Counter[int]) -> float:
    """Return the median of whole numbers of which it is known how often each comes."""
    numbers = np.array(sorted(counts))
    ends = np.cumsum([counts[number] for number in numbers.tolist()])
    middle = [(int(ends[-1]) - 1) // 2, int(ends[-1]) // 2]
    return float(numbers[np.searchsorted(ends, middle, side="right")].mean())


def _steps(
    time: NDArray[np.datetime64], last: np.datetime64 | None
) -> tuple[NDArray[np.intp], NDArray[np.int64], np.datetime64 | None]:
    """Return the records whose time is known, but for the first of a log, the ms to each of them, and the last time."""
    known = np.flatnonzero(~np.isnat(time))
    if not len(known):
        return known, np.zeros(0, dtype=np.int64), last
    stamps = time[known].astype("datetime64[ms]")
    steps = np.diff(stamps if last is None else np.concatenate([[last], stamps])).astype(np.int64)
    return known[1:] if last is None else known, steps, stamps[-1]


@dataclass
class Holding:
    """The values that hold while a log is gone through, some records at a time.

    Parameters
    ----------
    pause_s : float
        From how many seconds without a record it pauses.
    """

    pause_s: float
    last_time: np.datetime64 | None = None
    stretch: int = 0
    values: dict[int, tuple[int, int]] = field(default_factory=dict)
    """The latest value of each quantity, and the stretch of its record."""

    def stretches(self, time: NDArray[np.datetime64]) -> NDArray[np.int64]:
        """Return to which stretch of the log without a pause each of the next records belongs, (n,)."""
        begins = np.zeros(len(time), dtype=np.int64)
        known, steps, self.last_time = _steps(time, self.last_time)
        begins[known[steps / 1000.0 > self.pause_s]] = 1
        found: NDArray[np.int64] = self.stretch + np.cumsum(begins)
        self.stretch = int(found[-1]) if len(found) else self.stretch
        return found

    def held(
        self, records: LogRecords, index: int, stretch: NDArray[np.int64]
    ) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
        """Return the raw value of a quantity that holds at each of the next records, (n,), and whether one does."""
        values, known = records.stored(index)
        record = np.flatnonzero(known)
        first = int(record[0]) if len(record) else len(known)
        before = self.values.get(index)
        if before is not None:
            values[:first], known[:first] = before[0], stretch[:first] == before[1]
        if len(record):
            origin = np.repeat(record, np.diff(record, append=len(known)))
            values[first:], known[first:] = values[origin], stretch[origin] == stretch[first:]
            self.values[index] = int(values[record[-1]]), int(stretch[record[-1]])
        return values, known
