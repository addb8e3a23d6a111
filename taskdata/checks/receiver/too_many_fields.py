"""The set holds more fields than the receiver takes.

What it checks
    That the set holds at most as many fields as the profile of the receiver says (limits.fields).
Why it matters
    Fields beyond the limit are not shown, so their tasks and lines cannot be chosen; some terminals refuse the whole
    set.
Example
    Bad: 250 fields for a terminal that takes 200.
    Good: the fields of the coming jobs.
How to fix
    Send only the fields of the coming jobs, or split the set: taskdata convert SOURCE TARGET --receiver FILE makes a
    folder for each stick, with all that its fields need.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import beyond
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.too-many-fields",
    severity=Severity.ERROR,
    message=(
        "The set holds {count} fields, but {receiver} accepts {wanted}{basis}; the rest may be missing on it, or the "
        "set refused."
    ),
    remedy="Send only the fields of the coming jobs, or split the set with [[convert(receiver)]].",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding where there are more fields than that, at the first that is too many."""
    yield from beyond(subject, RULE, "limits.fields", subject.dataset.fields)
