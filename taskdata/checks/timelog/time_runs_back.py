"""The times of a log run backwards.

What it checks
    That no record begins more than half a minute before the record it follows. At the end of summer time, in a night to
    Sunday of March, April, October or November, clocks are set back: an hour may pass there. A date that is not raised
    at midnight is reported by timelog.date-not-raised. Judged.
Why it matters
    Order, duration and speed cannot be computed across that place. Often two logs were written into one file, or the
    clock was set during work.
Example
    Bad: a record of 10:15:00 followed by one of 10:11:30.
    Good: times that rise.
How to fix
    Find out which clock is wrong. Cut the log at the record given before figures are taken from it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._clocks import spoken
from taskdata.checks.timelog._midnights import DAY, Midnights, missing_days
from taskdata.checks.timelog._pieces import StoredPiece
from taskdata.checks.timelog._watching import StoredWatch, Tally, found, watches
from taskdata.findings import Finding, Rule, Severity, Tolerance

SECONDS = Tolerance("timelog.time-runs-back.seconds", 30.0, "s", "Allowed step back")
RULE = Rule(
    id="timelog.time-runs-back",
    severity=Severity.WARNING,
    message="The times of {file} run back in {what}: record {record} is at {at}, the previous one at {other}.",
    remedy="Find out which clock is wrong; cut the log there before you use its figures.",
    clause="8.6.3",
    covers=("R-201",),
    tolerances=(SECONDS,),
)
Records: TypeAlias = NDArray[np.intp]
Moments: TypeAlias = NDArray[np.datetime64]
HOUR, MINUTE = np.timedelta64(1, "h"), np.timedelta64(1, "m")
MONTHS = (3, 4, 10, 11)
"""In which clocks are set back: spring is autumn south of the equator (common practice)."""
MONDAY = np.datetime64("1979-12-31", "D")
SUNDAY = 6
LATEST = np.timedelta64(4, "h")


@watches
class _Back(StoredWatch):
    """Places where the times run back: as they are stored, and with the date raised at midnights."""

    def begin(self) -> None:
        self.seconds = self.subject.profile[SECONDS]
        self.midnights = Midnights()
        self.stored_steps, self.raised_steps = Tally(), Tally()
        self.last: Moments = np.zeros(0, "datetime64[ms]")
        self.last_raised = self.last

    def see(self, piece: StoredPiece) -> None:
        known = np.flatnonzero(~np.isnat(piece.time))
        time = piece.time[known]
        days = self.midnights.see(time)
        higher = time if days is None else time + days * DAY
        self.last = self._note(piece, known, (self.last, time), self.stored_steps)
        self.last_raised = self._note(piece, known, (self.last_raised, higher), self.raised_steps)

    def _note(self, piece: StoredPiece, known: Records, times: tuple[Moments, Moments], steps: Tally) -> Moments:
        """Count the steps back to records of a piece, the last time before them included; return the last one."""
        joined = np.concatenate(times)
        before, after = steps_back(joined, self.seconds)
        if len(after):
            moments = {"at": spoken(joined[after[0]]), "other": spoken(joined[before[0]])}
            steps.add(piece, known[after - len(times[0])], lambda _: moments)
        return joined[-1:]

    @property
    def steps(self) -> Tally:
        """The steps that count."""
        return self.stored_steps if self.midnights.doubtful else self.raised_steps


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each log whose times run back, at the first such place."""
    for log in found(subject, _Back):
        back = log.steps
        if back.count:
            what = counted(back.count, "place")
            yield RULE.at(back.place, severity=None, file=log.stored.file, what=what, record=back.first, **back.value)


def raised(time: NDArray[np.datetime64]) -> NDArray[np.datetime64]:
    """Return the times of a log, the date raised at midnights where the log does not do so."""
    days = missing_days(time)
    return np.asarray(time + days * DAY) if days.any() else time


def steps_back(time: NDArray[np.datetime64], seconds: float = SECONDS.default) -> tuple[Records, Records]:
    """Return the records before and after each place where raised times run back by more than so many seconds."""
    known = np.flatnonzero(~np.isnat(time))
    time = time[known] if len(known) < len(time) else time
    back = np.flatnonzero(time[:-1] - time[1:] > np.timedelta64(round(seconds * 1000), "ms"))
    if len(back):
        back = back[~_set_back(time[back], time[back + 1])]
    return known[back], known[back + 1]


def _set_back(before: NDArray[np.datetime64], after: NDArray[np.datetime64]) -> NDArray[np.bool_]:
    """Tell which steps are an hour, give or take a minute, in the night in which summer time ends."""
    day = before.astype("datetime64[D]")
    month = before.astype("datetime64[M]").astype(np.int64) % 12 + 1
    weekday = (day - MONDAY).astype(np.int64) % 7
    early = (weekday == SUNDAY) & (before - day <= LATEST)
    late = (weekday == SUNDAY - 1) & (before - day >= DAY - HOUR)
    an_hour = np.abs((before - after) - HOUR) <= MINUTE
    return np.asarray(an_hour & np.isin(month, MONTHS) & (early | late))
