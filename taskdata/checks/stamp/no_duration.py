"""A time lasts zero seconds.

What it checks
    That the Duration of a time (TIM) is greater than zero where it is given. The range of the attribute begins with 0,
    the text says it is always positive.
Why it matters
    A time of zero seconds is usually a stop that was never filled in: the work that was done is missing from the
    record.
Example
    Bad: <TIM A="2024-04-18T07:00:00" C="0" D="4"/>
    Good: C="3600", or neither C nor B while the work goes on.
How to fix
    Enter the duration, or remove the attribute.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.stamp._stamps import seconds
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="stamp.no-duration",
    severity=Severity.WARNING,
    message="The duration of the time that begins at {at} is zero.",
    remedy="Enter the duration, or remove the attribute while work continues.",
    clause="D.48",
    covers=("R-063",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each time of zero seconds."""
    for element in subject.tagged("TIM"):
        if seconds(element) == 0:
            yield RULE.at(subject.place(element), at=element.get("Start") or "an unknown time")
