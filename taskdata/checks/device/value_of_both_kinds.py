"""A device element has one quantity both as a constant and as a changing value.

What it checks
    That no device element (DET) refers to the same DDI in process data (DPD) and in a property (DPT).
Why it matters
    A width or an offset then has two values at a time. Sections switch too early or too late when the wrong one is
    taken.
Example
    Bad: a DET that refers to a DPD and a DPT, both of DDI 0043.
    Good: a DPT of DDI 0046 and a DPD of DDI 0043.
How to fix
    Load the device description from the machine again; if it holds both, its manufacturer has to choose one.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import label, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.value-of-both-kinds",
    severity=Severity.ERROR,
    message="{element} has {what} both as property (DPT) and as process data (DPD).",
    remedy="Keep one of the two: the property if the value never changes.",
    clause="8.7",
    covers=("R-097",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element and DDI of both kinds."""
    for part in parts(subject):
        for ddi, values in part.by_ddi().items():
            if len({value.is_property for value in values}) > 1:
                yield RULE.at(subject.place(part.element), element=spoken(part.element), what=label(ddi))
