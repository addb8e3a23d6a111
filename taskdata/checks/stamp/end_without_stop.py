"""A time has a position of its end, but no end.

What it checks
    That a time (TIM) or an allocation (ASP) with a second position (PTN) has a Stop or a Duration. Judged: the second
    position is that of the end.
Why it matters
    The end is known to the machine, but not when it was: the work looks as if it still went on.
Example
    Bad: <TIM A="2024-04-18T07:00:00" D="4"> with two PTN.
    Good: <TIM A="2024-04-18T07:00:00" B="2024-04-18T08:00:00" D="4"> with two PTN.
How to fix
    Add the stop, for example from the time log of the task.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.stamp._stamps import owners
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="stamp.end-without-stop",
    severity=Severity.WARNING,
    message="The time that begins at {at} has an end position, but neither stop nor duration.",
    remedy="Add the stop, for example from the time log of the task.",
    clause="D.2",
    covers=("R-066",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each time with two positions and no end."""
    for element in owners(subject):
        is_open = element.get("Stop") is None and element.get("Duration") is None
        if is_open and sum(1 for _ in element.elements("PTN")) > 1:
            yield RULE.at(subject.place(element), at=element.get("Start") or "an unknown time")
