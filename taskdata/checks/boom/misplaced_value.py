"""A value stands at a kind of element where nobody looks for it.

What it checks
    That the element type instance (DDI 00B2) is at bins, and the actual cultural practice (00B3) at functions or bins.
    Numbers and names of the two are from memory.
Why it matters
    A terminal looks for them there to tell bins apart and to name the work done.
Example
    Bad: DDI 00B3 at the element of type 1.
    Good: DDI 00B3 at the boom.
How to fix
    Nothing can be done in the files; the manufacturer of the machine may move the value.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import BIN, FUNCTION, label, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.misplaced-value",
    severity=Severity.NOTE,
    message="{element} has {what}, which belongs at {wanted}.",
    remedy="Look for the value at this element, or have the device description corrected.",
    clause="F.3.3, F.3.4",
    covers=("R-230",),
    since=3,
)
INSTANCE, PRACTICE = 178, 179
BELONGS = {INSTANCE: ({BIN}, "bins"), PRACTICE: ({FUNCTION, BIN}, "functions or bins")}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each of the two values at another kind of element."""
    for part in parts(subject):
        for ddi, (kinds, wanted) in BELONGS.items():
            if part.kind not in kinds and part.of(ddi):
                place = subject.place(part.element)
                yield RULE.at(place, element=spoken(part.element), what=label(ddi), wanted=wanted)
