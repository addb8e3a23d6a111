"""A setpoint is sent to a device element that does not take it.

What it checks
    That the device element that a setpoint (PDV) names lists process data with its DDI that are settable. Elements
    whose description cannot be read wholly are not checked, and devices that describe no values at all. Judged.
Why it matters
    The machine ignores the rate: it applies what was set by hand, or nothing.
Example
    Bad: <PDV A="0006" B="20000" D="DET203"/>, while DET203 only takes 0001.
    Good: A="0001", with the rate as a volume.
How to fix
    Name the element that accepts the setpoint, or give the rate in a quantity that it accepts.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.device._described import described
from taskdata.checks.device._devices import SETTABLE, label
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.quantities.dictionary import ddi_number

RULE = Rule(
    id="setpoint.not-settable",
    severity=Severity.WARNING,
    message="The setpoint {value} is for {target}, which does not accept it.",
    remedy="Name the element that accepts the setpoint, or give the rate in a quantity that it accepts.",
    clause="D.41",
    covers=("R-157",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such setpoint."""
    for setpoint in subject.tagged("PDV"):
        target = setpoint.get("DeviceElementIdRef")
        found, ddi = described(subject, target), ddi_number((setpoint.get("ProcessDataDDI") or "").strip())
        if found is not None and ddi is not None and not any(value.flags & SETTABLE for value in found.of(ddi)):
            yield RULE.at(subject.place(setpoint), value=label(ddi), target=target)
