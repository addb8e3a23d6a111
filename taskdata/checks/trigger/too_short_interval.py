"""A log is to be written more often than ten times a second.

What it checks
    That the time interval of a log trigger (DLT) is 0, which stops logging, or at least 100 ms.
Why it matters
    The terminal refuses the trigger, and nothing is logged.
Example
    Bad: <DLT A="0002" B="1" D="50"/>
    Good: D="100"
How to fix
    Ask for 100 ms or more; a second is enough for most maps.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="trigger.too-short-interval",
    severity=Severity.ERROR,
    message="A log trigger of {element} asks for a value every {value} ms; 100 ms is the shortest interval.",
    remedy="Ask for 100 ms or more.",
    clause="D.17",
    covers=("R-127",),
)
SHORTEST = 100


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each interval that is too short."""
    for trigger in subject.tagged("DLT"):
        value = integer(trigger, "DataLogTimeInterval")
        if value is not None and 0 < value < SHORTEST:
            place = subject.place(trigger)
            yield RULE.at(place, element=place.element or trigger.tag, value=value)
