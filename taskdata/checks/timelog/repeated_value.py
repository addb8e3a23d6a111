"""A record of a time log stores a value twice.

What it checks
    That a record stores each value (DLV of the header) at most once. All records of a log with this fault are reported
    together.
Why it matters
    Which of the two was measured is not clear; totals and maps take one or the other.
Example
    Bad: a record with two values for position 0.
    Good: one value for each position.
How to fix
    Ask the manufacturer of the terminal. Until then do not rely on this quantity in these records.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Finding, Rule, Severity
from taskdata.geometry.arrays import distinct

RULE = Rule(
    id="timelog.repeated-value",
    severity=Severity.WARNING,
    message="{file} stores a value more than once in {where}.",
    remedy="Ask the manufacturer of the terminal; until then do not rely on this quantity in these records.",
    clause="6.8.4",
    covers=("R-199",),
)
AT_ONCE = 1 << 20


@watches
class _Repeated(StoredWatch):
    """Records that store a value twice."""

    def begin(self) -> None:
        self.wrong = Tally()

    def see(self, piece: StoredPiece) -> None:
        self.wrong.add(piece, _repeating(piece))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log with such records, at the first."""
    for log in found(subject, _Repeated):
        if log.wrong.count:
            yield RULE.at(log.wrong.place, file=log.stored.file, where=log.wrong.where)


def _repeating(piece: StoredPiece) -> NDArray[np.intp]:
    """Return which records have a value twice."""
    log, alike = piece.records, piece.regular
    if log.index.size < 2:
        return np.zeros(0, np.intp)
    if alike is not None:  # all records alike: the first one tells
        return np.arange(len(log) if len(distinct(alike)) < len(alike) else 0)
    found = np.zeros(len(log), dtype=np.bool_)
    positions = int(log.index.max()) + 1
    step = max(1, AT_ONCE // positions)
    ends = np.concatenate([[0], np.cumsum(log.counts, dtype=np.int64)])
    for first in range(0, len(log), step):
        last = min(first + step, len(log))
        record = np.repeat(np.arange(last - first), log.counts[first:last])
        keys = record * positions + log.index[ends[first] : ends[last]]
        tally = np.bincount(keys, minlength=(last - first) * positions)
        found[first:last] = (tally.reshape(last - first, positions) > 1).any(axis=1)
    return np.flatnonzero(found)
