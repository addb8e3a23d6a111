"""One time of work lasts longer than a day.

What it checks
    That no effective time (TIM of type 4) lasts longer than 24 hours without a break, by its stop or its duration.
    Common practice: shifts, fillings and the night end a time before that.
Why it matters
    Usually the task was not stopped in the evening. Hours, wages and the output by the hour are wrong.
Example
    Bad: an effective time from 18 April, 7:00, to 3 May, 9:30.
    Good: one of 18 April, 7:00 to 11:45, and one of 3 May.
How to fix
    Take the hours from the log or the diary, and correct the stop.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.stamp._stamps import seconds, spans
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance
from taskdata.isoxml.tree.element import Element

HOURS = Tolerance("stamp.long-work.hours", 24.0, "h", "Longest work without a break")
RULE = Rule(
    id="stamp.long-work",
    severity=Severity.NOTE,
    message="A time of {element} that begins {at} lasts {size} h without a break, more than the allowed {limit} h.",
    remedy="Take the hours from the log or the diary, and correct the stop.",
    clause="D.48",
    tolerances=(HOURS,),
)
EFFECTIVE = 4
HOUR_S = 3600.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such time."""
    stopped = {id(span.element): span.passed.total_seconds() for span in spans(subject)}
    limit = subject.profile[HOURS]
    for task in subject.tagged("TSK"):
        for time in task.elements("TIM"):
            hours = _seconds(time, stopped) / HOUR_S
            if integer(time, "Type") == EFFECTIVE and hours > limit:
                facts = {"at": time.get("Start"), "size": round(hours, 1), "limit": limit}
                yield RULE.at(subject.place(time), severity=None, element=spoken(task), **facts)


def _seconds(time: Element, stopped: dict[int, float]) -> float:
    found = stopped.get(id(time))
    return float(seconds(time) or 0) if found is None else found
