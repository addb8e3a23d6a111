"""A total falls within a log.

What it checks
    That totals of a time log never become smaller from record to record: areas, amounts, distances, times and counts.
    Which DDIs are totals is mostly from memory.
Why it matters
    The counter was reset during the task, or the values are damaged. The last value is then less than what was done,
    and the difference of first and last is wrong.
Example
    Bad: 4.2 ha, then 0 ha in the next record.
    Good: 4.2 ha, then 4.2 ha or more.
How to fix
    Add up what was counted before and after the fall. Find out why the counter was reset.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Fact, Finding, Rule, Severity
from taskdata.quantities.dictionary import entry
from taskdata.quantities.plausible import shown

RULE = Rule(
    id="timelog.falling-total",
    severity=Severity.WARNING,
    message="{name} of {target} in {file} falls {what} in record {record}, from {other} to {value}.",
    remedy="Add up the counts before and after the fall, and find out why the counter was reset.",
    clause="6.8.3",
)
TOTALS = {"total", "lifetime total"}


@watches
class _Totals(StoredWatch):
    """Falls of each total, with the values before and after the first, and the last value so far."""

    def begin(self) -> None:
        values = enumerate(self.stored.layout.values)
        totals = [place for place, item in values if item.ddi is not None and entry(item.ddi).kind in TOTALS]
        self.wanted = bool(totals)
        self.falls = {position: Tally() for position in totals}
        self.latest: dict[int, int] = {}

    def see(self, piece: StoredPiece) -> None:
        for position, falls in self.falls.items():
            self._see(piece, position, falls)

    def _see(self, piece: StoredPiece, position: int, falls: Tally) -> None:
        records, values = piece.series(position)
        if len(values):
            before = np.concatenate([[self.latest.get(position, values[0])], values[:-1]])
            at = np.flatnonzero(values < before)
            falls.add(piece, records[at], lambda _: (int(before[at[0]]), int(values[at[0]])))
            self.latest[position] = int(values[-1])


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each total that falls, at the record of the first fall."""
    for log in found(subject, _Totals):
        for position, falls in log.falls.items():
            if falls.count:
                item = log.stored.layout.values[position]
                ddi = item.ddi or 0
                other, value = (shown(number, ddi) for number in falls.value)
                facts: dict[str, Fact] = {
                    "target": item.element,
                    "record": falls.first,
                    "other": other,
                    "value": value,
                    "what": "once" if falls.count == 1 else f"{falls.count} times, first",
                }
                name = entry(ddi).plain_name
                yield RULE.at(falls.place, severity=None, name=name, file=log.stored.file, **facts)
