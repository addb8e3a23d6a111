"""The set holds more guidance lines than the receiver takes.

What it checks
    That the set holds at most as many guidance lines as the profile of the receiver says (limits.guidance_lines).
Why it matters
    Lines beyond the limit are missing where the driver looks for them. Whoever then makes a new line drives a shifted
    track.
Example
    Bad: 1,200 guidance lines for a terminal that takes 500.
    Good: the lines that are driven this season.
How to fix
    Remove lines that are no longer used, or send fewer fields.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import beyond
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.too-many-guidance-lines",
    severity=Severity.ERROR,
    message=(
        "The set holds {count} guidance lines, but {receiver} accepts {wanted}{basis}; the rest may be missing on it, "
        "or the set refused."
    ),
    remedy="Remove lines that are no longer used, or split the set with [[convert(receiver)]].",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding where there are more guidance lines than that, at the first that is too many."""
    yield from beyond(subject, RULE, "limits.guidance_lines", subject.dataset.guidance)
