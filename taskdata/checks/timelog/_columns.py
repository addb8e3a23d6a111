"""The values of a log: what lies beyond what a quantity can have, found in one pass; columns of a quantity."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._records import Log, logs
from taskdata.quantities.plausible import ANY, Limits, listed, usual

Integers: TypeAlias = NDArray[np.int64]
CHUNK = 1 << 16
POSITIONS = 256
SIDE_BY_SIDE = 64
"""Records taken as one row, so that the processor compares many values at once."""


@dataclass(frozen=True, slots=True)
class Beyond:
    """Values of one quantity of a log that lie beyond the same bounds.

    ``position`` is that of the quantity in the header, ``first`` and ``last`` are records, ``value`` is the raw value
    farthest off; ``by_dictionary`` tells whose bounds they are: those of the dictionary, or those of common practice.
    """

    log: Log
    position: int
    ddi: int
    target: str
    limits: Limits
    by_dictionary: bool
    count: int
    first: int
    last: int
    value: int


@once
def beyond(subject: Subject) -> tuple[Beyond, ...]:
    """Return every quantity of every log with values beyond its bounds; looked for once for both rules."""
    return tuple(item for log in logs(subject) for item in _of_log(log))


def series(log: Log, position: int) -> tuple[NDArray[np.integer], NDArray[np.int32]]:
    """Return record numbers and raw values of the quantity at a position of the header."""
    places = log.regular
    if places is None:
        return log.records.series(position)
    where = np.flatnonzero(places == position)
    if len(where) != 1:
        return log.records.series(position)
    values = log.records.value.reshape(len(log.records), len(places))
    return np.arange(len(log.records)), values[:, where[0]]


def _of_log(log: Log) -> Iterator[Beyond]:
    found = log.records.layout.values[: POSITIONS - 1]
    bounds = [ANY if item.ddi is None else _narrower(item.ddi) for item in found]
    if all(item == ANY for item in bounds):
        return
    low, high = np.full(POSITIONS, ANY.least, np.int32), np.full(POSITIONS, ANY.most, np.int32)
    low[: len(bounds)], high[: len(bounds)] = zip(*bounds, strict=True)
    wrong = _outside(log, low, high)
    index, value = log.records.index[wrong], log.records.value[wrong]
    ends = np.cumsum(log.records.counts, dtype=np.int64) if len(wrong) else np.zeros(0, np.int64)
    records = np.searchsorted(ends, wrong, side="right")
    for position in np.unique(index).tolist():
        item, here = found[position], index == position
        yield from _told(log, position, (item.ddi or 0, item.element), records[here], value[here])
    for position, item in enumerate(found):
        if item.ddi is not None and item.constant is not None and not bounds[position].hold(item.constant):
            everywhere = np.arange(len(log.records))
            constant = np.full(len(everywhere), item.constant, np.int64)
            yield from _told(log, position, (item.ddi, item.element), everywhere, constant)


def _narrower(ddi: int) -> Limits:
    own, common = listed(ddi), usual(ddi)
    return Limits(max(own.least, common.least), min(own.most, common.most))


def _outside(log: Log, low: NDArray[np.int32], high: NDArray[np.int32]) -> Integers:
    """Return which values lie beyond the bounds of their position, in pieces that fit the processor's cache."""
    index, value = log.records.index, log.records.value
    if log.regular is not None and _all_within(value, low[log.regular], high[log.regular]):
        return np.zeros(0, np.int64)
    found = []
    for start in range(0, index.size, CHUNK):
        places, numbers = index[start : start + CHUNK], value[start : start + CHUNK]
        wrong = (numbers < low[places]) | (numbers > high[places])
        if wrong.any():
            found.append(np.flatnonzero(wrong) + start)
    return np.concatenate(found) if found else np.zeros(0, np.int64)


def _all_within(value: NDArray[np.int32], low: NDArray[np.int32], high: NDArray[np.int32]) -> bool:
    """Tell whether the values of a log whose records are alike lie within the bounds of their positions."""
    width = len(low) * SIDE_BY_SIDE
    whole = value[: value.size // width * width].reshape(-1, width)
    parts = [whole, value[whole.size :].reshape(-1, len(low))]
    for part in parts:
        if len(part):
            least, most = part.min(axis=0).reshape(-1, len(low)), part.max(axis=0).reshape(-1, len(low))
            if (least < low).any() or (most > high).any():
                return False
    return True


def _told(
    log: Log, position: int, named: tuple[int, str], records: Integers, values: NDArray[np.integer]
) -> Iterator[Beyond]:
    """Yield what lies beyond the range of the dictionary, and of the rest what lies beyond common practice."""
    ddi, target = named
    own = listed(ddi)
    by_dictionary = (values < own.least) | (values > own.most)
    for kind, limits, chosen in ((True, own, by_dictionary), (False, usual(ddi), ~by_dictionary)):
        if chosen.any():
            numbers = values[chosen].astype(np.int64)
            off = np.maximum(limits.least - numbers, numbers - limits.most)
            where = records[chosen]
            ends = int(where[0]), int(where[-1])
            value = int(numbers[off.argmax()])
            yield Beyond(log, position, ddi, target, limits, kind, len(numbers), *ends, value)
