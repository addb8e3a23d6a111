"""One rate is offered at two levels of a machine.

What it checks
    That no rate (setpoint or actual) of one DDI is offered by a bin and the device or function element above it, nor by
    a boom and the device element above it.
Why it matters
    A terminal that commands both applies double, one that adds up both counts double. One that commands the wrong one
    applies nothing.
Example
    Bad: DDI 0006 at the boom and at the bin below it.
    Good: DDI 0006 at the bin alone.
How to fix
    Load the device description from the machine again; if the fault is in it, its manufacturer has to correct it. Watch
    the first pass.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import is_rate
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import BIN, DEVICE, FUNCTION, SOURCE, DevicePart, label, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.rate-on-two-levels",
    severity=Severity.WARNING,
    message="{element} offers {what}, and so does {other} above it.",
    remedy="Keep the rate at one level.",
    clause="F.3.3, F.3.4",
    covers=("R-228",),
    since=3,
)
CLASHES = {(DEVICE, BIN), (FUNCTION, BIN), (DEVICE, FUNCTION)}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element and rate that an element above offers, too."""
    for part in parts(subject):
        if part.kind not in {BIN, FUNCTION}:
            continue
        own = _rates(part)
        for upper in part.ancestors() if own else ():
            shared = own & _rates(upper) if (upper.kind, part.kind) in CLASHES else set()
            for ddi in sorted(shared):
                element, other = spoken(part.element), spoken(upper.element)
                yield RULE.at(subject.place(part.element), element=element, what=label(ddi), other=other)
            own -= shared


def _rates(part: DevicePart) -> set[int]:
    """Return the rates that an element offers; what it sends to others is not among them."""
    offered = (value for value in part.values if not value.flags & SOURCE and is_rate(value, "setpoint", "actual"))
    return {value.ddi for value in offered if value.ddi is not None}
