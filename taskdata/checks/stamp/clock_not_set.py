"""A time stamp is so old that the clock cannot have been set.

What it checks
    That times (TIM) and allocations (ASP) do not begin or end before 1990. Clocks that were never set count from 1970
    or 1980 on; GPS, by which terminals set theirs, counts from 6 January 1980. Judged.
Why it matters
    The work cannot be found by its date, and laws that ask when a product was applied are not met.
Example
    Bad: <TIM A="1980-01-06T00:04:10" ...>
    Good: <TIM A="2024-04-18T07:12:30" ...>
How to fix
    Set the clock of the terminal. Enter the right date from the log, the diary or the order.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from taskdata.checks.stamp._stamps import parse, stamps
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="stamp.clock-not-set",
    severity=Severity.WARNING,
    message="{name} of a {tag} is {text}: the clock was not set.",
    remedy="Set the clock of the terminal, and enter the right date from the log, the diary or the work order.",
    clause="D.48, D.5",
)
EARLIEST = datetime(1990, 1, 1)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element with such stamps, at the first of them."""
    told: set[int] = set()
    for found in stamps(subject):
        stamp = parse(found.text)
        if stamp is not None and stamp.clock < EARLIEST and id(found.element) not in told:
            told.add(id(found.element))
            place = subject.place(found.element)
            yield RULE.at(place, name=found.name, tag=found.element.tag, text=found.text)
