"""Some time stamps tell their zone, others do not.

What it checks
    That either all stamps of tasks and allocations in a set have a zone suffix, or none has. Judged: the standard asks
    a writer that knows the zone to add it, and a writer that knows it once knows it always.
Why it matters
    Stamps without zone are local time, never UTC. Mixed with others they cannot be put in order with certainty; work
    seems to end before it began.
Example
    Bad: A="2024-04-18T07:00:00+02:00" in one TIM, A="2024-04-18T07:12:30" in another.
    Good: the zone on both, or on none.
How to fix
    Have the program that wrote the set add the time zone everywhere. Do not add Z to a local time.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.stamp._stamps import Stamped, stamps
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="stamp.mixed-zones",
    severity=Severity.WARNING,
    message=(
        "{count} of {total} time stamps have no time zone, and the others have one; the first that differs is {value}."
    ),
    remedy="Have the program that wrote the set add the time zone everywhere; do not add Z to a local time.",
    clause="D.2, D.48",
    covers=("R-057",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for a set with both kinds of stamps, at the first that differs."""
    kinds: list[bool] = []
    odd: Stamped | None = None
    for stamp in stamps(subject):
        kinds.append(stamp.has_zone)
        if odd is None and stamp.has_zone is not kinds[0]:
            odd = stamp
    if odd is not None:
        yield RULE.at(subject.place(odd.element), count=kinds.count(False), total=len(kinds), value=odd.text)
