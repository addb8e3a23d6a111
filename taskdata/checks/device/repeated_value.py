"""A device element has one quantity twice.

What it checks
    That no device element (DET) refers to two process data (DPD), or two properties (DPT), of one DDI. That it may not
    is judged: element number and DDI together are the address of a value. A source and a user of one setpoint are
    reported by the rule device.source-and-user.
Why it matters
    Which of the two a command or a logged value means is not clear.
Example
    Bad: a DET that refers to two DPD of DDI 0006.
    Good: two bins, each with its own DPD of DDI 0006.
How to fix
    Load the device description from the machine again. Two of a kind need two device elements.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import label, parts
from taskdata.checks.device._setpoints import is_source_and_user
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.versions import has

RULE = Rule(
    id="device.repeated-value",
    severity=Severity.WARNING,
    message="{element} has {what} {count} times as {tag}.",
    remedy="Keep one of them, or give each a device element of its own.",
    clause="8.7",
    covers=("R-098",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element, DDI and kind of value that occurs more than once."""
    apart = subject.major is not None and has("sources and users on elements of their own", subject.major)
    for part in parts(subject):
        for ddi, values in part.by_ddi().items():
            if apart and is_source_and_user(values):
                continue
            for tag in ("DPD", "DPT"):
                count = sum(value.element.tag == tag for value in values)
                if count > 1:
                    place = subject.place(part.element)
                    yield RULE.at(place, element=spoken(part.element), what=label(ddi), count=count, tag=tag)
