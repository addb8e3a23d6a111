"""A duration is not the time from start to stop.

What it checks
    That Stop minus Start of a time (TIM) or an allocation (ASP) is its Duration, within one second, where all three are
    given. The second is judged.
Why it matters
    Programs differ in which of them they use: the same work has two lengths, on the machine and on the invoice.
Example
    Bad: <TIM A="2024-04-18T07:00:00" B="2024-04-18T08:00:00" C="60" D="4"/>: an hour of 60 seconds.
    Good: C="3600"
How to fix
    Find out which is right. A factor of 60 suggests minutes instead of seconds.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.stamp._stamps import seconds, spans
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="stamp.wrong-duration",
    severity=Severity.WARNING,
    message="The duration is {found} s, but start and stop are {expected} s apart.",
    remedy="Find out which is right; a factor of 60 suggests minutes instead of seconds.",
    clause="D.2, D.48",
    covers=("R-062",),
)
TOLERANCE_S = 1.0


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each duration that does not fit its stamps; a stop before the start has its own rule."""
    for span in spans(subject):
        passed = span.passed.total_seconds()
        stated = seconds(span.element) if passed >= 0 else None
        if stated is not None and abs(passed - stated) > TOLERANCE_S:
            yield RULE.at(subject.place(span.element), found=stated, expected=round(passed, 3))
