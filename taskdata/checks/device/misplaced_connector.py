"""A connector or the antenna does not hang at the device itself.

What it checks
    That each device element (DET) of the type connector (6) or navigation reference (7) is directly below the element
    of type 1.
Why it matters
    Terminals look for hitch and antenna below the whole device. One that hangs below a boom is not found.
Example
    Bad: a connector whose parent is the boom.
    Good: a connector whose parent is the element of type 1.
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to correct it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import CONNECTOR, DEVICE, NAVIGATION, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.misplaced-connector",
    severity=Severity.WARNING,
    message="{element} ({kind}) is not directly below the element of type 1.",
    remedy="Make the element of type 1 its parent.",
    clause="F.3.4",
    covers=("R-220",),
    since=3,
)
KINDS = {CONNECTOR: "connector", NAVIGATION: "navigation reference"}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each connector and navigation reference elsewhere; a missing parent is another rule's."""
    for part in parts(subject):
        lost = part.parent is None and part.parent_id != 0
        if part.kind in KINDS and not lost and (part.parent is None or part.parent.kind != DEVICE):
            yield RULE.at(subject.place(part.element), element=spoken(part.element), kind=KINDS[part.kind])
