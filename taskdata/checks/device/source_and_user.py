"""One device element is both source and user of a setpoint.

What it checks
    That no device element (DET) refers to process data (DPD) of one DDI once as control source (4) and once as settable
    (2). A device that is both needs two elements.
Why it matters
    The value that the device sends and the one it receives have the same address: a rate may be fed back to its own
    source.
Example
    Bad: a DET with a DPD of DDI 0001 and C="4", and a DPD of DDI 0001 and C="2".
    Good: the sensor as one DET with C="4", the boom as another with C="2".
How to fix
    Load the device description from the machine again; its manufacturer has to describe the source as an element of its
    own.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import label, parts
from taskdata.checks.device._setpoints import is_source_and_user
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.source-and-user",
    severity=Severity.ERROR,
    message="{element} is both the source and the user of {what}.",
    remedy="Describe source and user as two device elements.",
    clause="F.3.3",
    covers=("R-100",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element and DDI that it both sends and receives."""
    for part in parts(subject):
        for ddi, values in part.by_ddi().items():
            if is_source_and_user(values):
                yield RULE.at(subject.place(part.element), element=spoken(part.element), what=label(ddi))
