"""A time stamp tells its zone in a version that knows local time only.

What it checks
    That stamps of tasks and allocations in sets of version 2 and 3 have no zone suffix. A warning, because the text
    asks readers to accept it.
Why it matters
    A receiver of that version may refuse the stamp, or drop the suffix and shift the work by hours.
Example
    Bad: VersionMajor="3" and <TIM A="2019-03-21T09:10:00+01:00" .../>
    Good: A="2019-03-21T09:10:00"
How to fix
    Write the local time without suffix, or the set as version 4.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.stamp._stamps import stamps
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="stamp.zone-too-early",
    severity=Severity.WARNING,
    message="{name} is {value}, with a time zone; version {version} allows only local time without one.",
    remedy="Write the local time without suffix, or the set as version 4.",
    clause="6.2, D.2, D.48",
    covers=("R-055",),
    until=3,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each stamp with a zone."""
    for stamp in stamps(subject):
        if stamp.has_zone:
            place = subject.place(stamp.element)
            yield RULE.at(place, name=stamp.name, value=stamp.text, version=subject.major)
