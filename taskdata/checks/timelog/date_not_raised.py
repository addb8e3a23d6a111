"""The date of a log is not raised at midnight.

What it checks
    That the date goes up by a day where the times of a log pass midnight: from the last hour of a day to the first of
    the next, less than an hour later by the clock. Where later dates contradict that, timelog.time-runs-back reports
    it. Judged.
Why it matters
    The times run back by a day. Duration, order and speed of everything after midnight are wrong, and the work is
    booked on the wrong day.
Example
    Bad: a record of 23:59:58 on 18 April, followed by one of 00:00:00 on 18 April.
    Good: followed by one of 00:00:00 on 19 April.
How to fix
    Raise the date by a day from the record given on; cleaning the set with review does so.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.checks.timelog._midnights import Midnights, following
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.date-not-raised",
    severity=Severity.WARNING,
    message="The times pass midnight at record {record}, but the date remains {at} (records: {count}).",
    remedy="Increase the date by a day from there on.",
    clause="8.6.3",
)


@watches
class _Behind(StoredWatch):
    """Records whose date stays behind."""

    def begin(self) -> None:
        self.midnights = Midnights()
        self.late = Tally()

    def see(self, piece: StoredPiece) -> None:
        before, known = self.midnights.days, ~np.isnat(piece.time)
        days = self.midnights.see(piece.time[known])
        if days is not None:
            late = np.flatnonzero(following(days, known, before) > 0)
            self.late.add(piece, late, lambda at: str(piece.time[at].astype("datetime64[D]")))


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log whose date stays behind, at the first such record."""
    for log in found(subject, _Behind):
        late = log.late
        if late.count and not log.midnights.doubtful:
            yield RULE.at(late.place, record=late.first, at=late.value, count=late.count)
