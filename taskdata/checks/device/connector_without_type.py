"""A connector does not say what kind of hitch it is.

What it checks
    That each device element (DET) of the type connector (6) gives its connector type (DDI 009D; number and name from
    memory).
Why it matters
    Whether the machine is mounted or trailed decides how it follows in a bend. A terminal that guesses places the
    sections wrongly there.
Example
    Bad: a connector with offsets only.
    Good: also a reference to <DPT A="16" B="009D" C="2"/>
How to fix
    Choose the kind of hitch on the machine, and load its device description again.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import CONNECTOR, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.connector-without-type",
    severity=Severity.WARNING,
    message="{element} (connector) does not state its connector type.",
    remedy="Choose the type of hitch on the machine and load its device description again.",
    clause="F.3.4",
    covers=("R-220",),
    since=3,
)
CONNECTOR_TYPE = 157


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each connector without its type."""
    for part in parts(subject):
        if part.kind == CONNECTOR and part.complete and not part.of(CONNECTOR_TYPE):
            yield RULE.at(subject.place(part.element), element=spoken(part.element))
