"""The set holds more tasks than the receiver takes.

What it checks
    That the set holds at most as many tasks as the profile of the receiver says (limits.tasks).
Why it matters
    Tasks beyond the limit are not shown; the job cannot be started, and what is done is logged elsewhere.
Example
    Bad: 300 tasks for a terminal that takes 100.
    Good: the planned tasks of the coming days.
How to fix
    Send planned tasks only; what is completed belongs in the office.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import beyond
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.too-many-tasks",
    severity=Severity.ERROR,
    message=(
        "The set holds {count} tasks, but {receiver} accepts {wanted}{basis}; the rest may be missing on it, or the "
        "set refused."
    ),
    remedy="Remove completed tasks, or split the set with [[convert(receiver)]].",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding where there are more tasks than that, at the first that is too many."""
    yield from beyond(subject, RULE, "limits.tasks", subject.dataset.tasks)
