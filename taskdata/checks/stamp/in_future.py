"""Work is dated in the future, or planned for another decade.

What it checks
    That times (TIM) and allocations (ASP) which are not planned do not lie more than a day ahead of the clock of the
    computer that checks, and planned ones not more than ten years. The bounds are common practice.
Why it matters
    One of the clocks is wrong, or two digits of a year were swapped: the work is booked in a season that has not come.
Example
    Bad: <TIM A="2042-04-18T07:12:30" D="4" ...> in 2024
    Good: <TIM A="2024-04-18T07:12:30" D="4" ...>
How to fix
    Set the clock of the terminal, or that of this computer, and correct the date.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from taskdata.checks.coding._reading import integer
from taskdata.checks.stamp._stamps import parse, stamps
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity, Tolerance

HOURS = Tolerance("stamp.in-future.hours", 24.0, "h", "Allowed time ahead of this computer")
YEARS = Tolerance("stamp.in-future.years", 10.0, "years", "How far ahead work is planned")
RULE = Rule(
    id="stamp.in-future",
    severity=Severity.WARNING,
    message="{name} of a {what} {tag} is {text}, more than {limit} ahead of the clock of this computer.",
    remedy="Set the clock of the terminal, or that of this computer, and correct the date.",
    clause="D.48, D.5",
    tolerances=(HOURS, YEARS),
)
PLANNED = 1
DAYS_A_YEAR = 365.25


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element with such stamps, at the first of them."""
    now = datetime.now(UTC).replace(tzinfo=None)
    hours, years = subject.profile[HOURS], subject.profile[YEARS]
    told: set[int] = set()
    for found in stamps(subject):
        planned = integer(found.element, "Type") == PLANNED
        ahead = timedelta(days=years * DAYS_A_YEAR) if planned else timedelta(hours=hours)
        stamp = parse(found.text)
        if stamp is not None and stamp.clock - now > ahead and id(found.element) not in told:
            told.add(id(found.element))
            what, limit = ("planned", f"{years:g} years") if planned else ("worked", f"{hours:g} h")
            facts = {"what": what, "tag": found.element.tag, "text": found.text, "limit": limit}
            yield RULE.at(subject.place(found.element), severity=None, name=found.name, **facts)
