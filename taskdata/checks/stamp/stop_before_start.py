"""A time ends before it begins.

What it checks
    That Stop of a time (TIM) or an allocation (ASP) is not before its Start. Where only one of the two tells its zone
    nothing is said.
Why it matters
    Working hours become negative: wages, machine hours and invoices that are made of them are wrong.
Example
    Bad: <TIM A="2024-04-18T09:00:00" B="2024-04-18T08:00:00" D="4"/>
    Good: B="2024-04-18T10:00:00"
How to fix
    Correct the time that is wrong. A clock that was set during work, or a change to or from summer time, is a likely
    cause.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from taskdata.checks.stamp._stamps import spans
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="stamp.stop-before-start",
    severity=Severity.WARNING,
    message="The time ends at {found}, before it begins at {other}.",
    remedy="Correct the wrong one; check whether the clock was set during work.",
    clause="D.2, D.48",
    covers=("R-062",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each time that ends before it begins."""
    for span in spans(subject):
        if span.passed < timedelta():
            element = span.element
            yield RULE.at(subject.place(element), found=element.get("Stop"), other=element.get("Start"))
