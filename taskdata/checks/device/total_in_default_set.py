"""A total is a member of the default set.

What it checks
    That process data (DPD) with the trigger method total (16) are not in the default set (property 1); DFFF, which
    stands for the set, is left out.
Why it matters
    Totals are stored with the times of a task anyway. In the default set they only make every log longer.
Example
    Bad: <DPD A="5" B="0074" C="3" D="17"/>
    Good: <DPD A="5" B="0074" C="2" D="17"/>
How to fix
    Nothing has to be done; the manufacturer of the machine may remove the total from the default set.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._devices import DEFAULT_REQUEST, DEFAULT_SET, TOTAL, devices, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.total-in-default-set",
    severity=Severity.NOTE,
    message="{what} is a total, but is a member of the default set.",
    remedy="Remove the total from the default set.",
    clause="6.8.3",
    covers=("R-103",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each total in the default set."""
    for device in devices(subject):
        for value in device.values:
            if value.flags & DEFAULT_SET and value.triggers & TOTAL and value.ddi not in {None, DEFAULT_REQUEST}:
                yield RULE.at(subject.place(value.element), what=label(value.ddi or 0))
