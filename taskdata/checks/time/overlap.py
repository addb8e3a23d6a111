"""Two times of a task overlap.

What it checks
    That the times (TIM) of one task that are not planned do not overlap, by more than the second to which stamps are
    rounded. Times that tell no end are taken to end where they begin. Judged: a machine is in one state at a time.
Why it matters
    Hours are counted twice: wages, machine hours and invoices are too high.
Example
    Bad: an effective time from 7:00 to 8:00 and an ineffective one from 7:30 to 7:45.
    Good: 7:00 to 7:30, 7:30 to 7:45, 7:45 to 8:00.
How to fix
    Split the times where the state changed. A clock that was set during work is a likely cause.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import Worked, worked
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="time.overlap",
    severity=Severity.WARNING,
    message="A time of {element} begins at {at}, before the one that began at {other} has ended.",
    remedy="Split the times where the state changed; check whether the clock was set during work.",
    clause="D.48",
    covers=("R-142",),
)
ROUNDING = timedelta(seconds=1)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each time that begins before an earlier one has ended."""
    for task in subject.tagged("TSK"):
        times = list(worked(task))
        for zoned in (False, True):
            longest: Worked | None = None
            alike = (item for item in times if (item.start.tzinfo is not None) == zoned)
            for time in sorted(alike, key=lambda item: item.start):
                if longest is not None and longest.end - time.start > ROUNDING:
                    at, other = time.element.get("Start"), longest.element.get("Start")
                    yield RULE.at(subject.place(time.element), element=spoken(task), at=at, other=other)
                if longest is None or time.end > longest.end:
                    longest = time
