"""A time is of a type that the standard has withdrawn.

What it checks
    That no time (TIM) of a set of version 4 is of type 3, preparation. Type 2, preliminary, stands for it now.
Why it matters
    A terminal of this version may not know it and leave the time out of the working hours.
Example
    Bad: <TIM A="2024-04-18T06:50:00" C="1350" D="3"/>
    Good: D="2"
How to fix
    Write type 2.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import WITHDRAWN
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="time.withdrawn-type",
    severity=Severity.WARNING,
    message="A time of {element} is of type 3, preparation, which version 4 has withdrawn.",
    remedy="Write type 2.",
    clause="D.48",
    covers=("R-141",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each time of that type."""
    for time in subject.tagged("TIM"):
        if integer(time, "Type") == WITHDRAWN:
            place = subject.place(time)
            yield RULE.at(place, element=place.element or time.tag)
