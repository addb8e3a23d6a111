"""Two fields are the same piece of ground.

What it checks
    That no two fields share 95 % or more of the ground that they cover together. A field and the field it is part of
    are not compared.
Why it matters
    The field is there twice, usually under two names or identifiers, because it came back from a machine or from
    another year. Work is booked on one of them and missed on the other.
Example
    Bad: PFD1 "Kuhle" and PFD9 "Kuhle 2023" with one boundary.
    Good: one field.
How to fix
    Keep one, move tasks and guidance to it, and delete the other.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._ground import spot
from taskdata.checks.field._common import common
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="field.same-ground",
    severity=Severity.WARNING,
    message='{element} "{name}" covers the same ground as {other} "{text}".',
    remedy="Keep one, move tasks and guidance to it, and delete the other.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each two such fields, at the later one."""
    for pair in common(subject):
        if pair.is_same:
            first, second = pair.first.field, pair.second.field
            place = spot(second.place, pair.location)
            yield RULE.at(place, element=second.id, name=second.name, other=first.id, text=first.name)
