"""A nested setpoint names a device element of its own.

What it checks
    That a setpoint (PDV) in another one does not name a device element. It belongs to the element of the outer one.
Why it matters
    The parts of a mixture leave the machine together. A terminal that obeys the inner element sends a rate to a tank
    that cannot control it, or refuses the set.
Example
    Bad: <PDV ... D="DET203"><PDV ... C="PDT4" D="DET204"/></PDV>
    Good: <PDV ... D="DET203"><PDV ... C="PDT4"/></PDV>
How to fix
    Remove the element from the inner setpoint, or make two setpoints side by side.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="setpoint.element-in-nested",
    severity=Severity.ERROR,
    message="A nested setpoint of {element} names the device element {target}; only the outer one may.",
    remedy="Remove the element from the inner setpoint, or make two setpoints side by side.",
    clause="D.41",
    covers=("R-155",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each nested setpoint with a device element."""
    for setpoint in subject.tagged("PDV"):
        target = setpoint.get("DeviceElementIdRef")
        if target is not None and setpoint.parent is not None and setpoint.parent.tag == "PDV":
            place = subject.place(setpoint)
            yield RULE.at(place, element=place.element or setpoint.tag, target=target)
