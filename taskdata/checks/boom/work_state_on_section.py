"""A section reports its work state by itself.

What it checks
    That no section has the actual (DDI 008D) or setpoint work state (0121) of a single element. Sections are reported
    and switched together, by the condensed work states of the boom.
Why it matters
    A terminal that commands the condensed states does not command this section; it may stay open over worked ground.
Example
    Bad: a section that refers to a DPD of DDI 008D.
    Good: the boom refers to a DPD of DDI 00A1 (and 0122), which holds the states of its sections.
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to correct it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import SECTION, label, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.work-state-on-section",
    severity=Severity.WARNING,
    message="The section {element} has {what}; sections use the condensed work states of their boom.",
    remedy="Move the state to the condensed work states of the boom.",
    clause="F.3.5",
    covers=("R-225",),
    since=3,
)
WORK_STATES = (141, 289)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each single work state on a section."""
    for part in parts(subject):
        if part.kind == SECTION:
            for ddi in WORK_STATES:
                if part.of(ddi):
                    yield RULE.at(subject.place(part.element), element=spoken(part.element), what=label(ddi))
