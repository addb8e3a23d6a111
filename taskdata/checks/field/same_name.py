"""Two fields have one name.

What it checks
    That fields of one farm (else of one customer) at different places have different names. A field and a field it is
    part of may share a name; so may fields with different codes, and names of 32 characters are reported by name.cut.
Why it matters
    In the list on the terminal they look the same. The driver picks one, and the work is booked on the other.
Example
    Bad: PFD1 and PFD7 are both called Kuhle.
    Good: Kuhle Nord and Kuhle Süd.
How to fix
    Rename one, or write a code (PFD.B) to both.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.field._groups import group_of, related
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.fields import Field

RULE = Rule(
    id="field.same-name",
    severity=Severity.WARNING,
    message='{element} and {other} are both called "{name}".',
    remedy="Rename one, or give both a code that tells them apart.",
)
LONGEST = 32


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each field with the name of an earlier one."""
    groups = group_of(subject)
    seen: dict[tuple[str | None, str, str | None], Field] = {}
    for field in subject.dataset.fields:
        if not field.name.strip() or len(field.name) == LONGEST:
            continue
        first = seen.setdefault((field.farm or field.customer, field.name, field.code), field)
        if first is field or related(subject, first, field):
            continue
        if first.id not in groups or groups[first.id] != groups.get(field.id):
            yield RULE.at(field.place, element=field.id, other=first.id, name=field.name)
