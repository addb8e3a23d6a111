"""Device elements are not numbered from left to right.

What it checks
    That the numbers of functions, bins, sections and units below one element grow from left to right (offset y, to the
    right is positive). Elements that stand at several places along the machine (offset x), or give no constant offset,
    are not judged. Where numbers and offsets disagree the offsets win; the number of the DDI is from memory.
Why it matters
    Section states are listed by number. A terminal that goes by the numbers shows and switches the wrong side of the
    machine.
Example
    Bad: section 1 at y = 1500, section 2 at y = -1500.
    Good: section 1 at y = -1500, section 2 at y = 1500.
How to fix
    Compare with the machine, and correct the sign of the offsets or the numbers.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import BIN, FUNCTION, OFFSET_X, OFFSET_Y, SECTION, UNIT, DevicePart, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="device.elements-out-of-order",
    severity=Severity.WARNING,
    message="{element} (number {number}, offset y {value} mm) lies to the left of {other}, which has a smaller number.",
    remedy="Compare with the machine, and correct the sign of the offsets or the numbers.",
    clause="B.3",
    covers=("R-107",),
)
ORDERED = (FUNCTION, BIN, SECTION, UNIT)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each row of elements, at the first that lies left of its predecessor."""
    for upper in parts(subject):
        for kind in ORDERED:
            row = _row([part for part in upper.children if part.kind == kind])
            for (_, left, other), (number, right, part) in pairwise(row):
                if right < left:
                    yield RULE.at(
                        subject.place(part.element),
                        element=spoken(part.element),
                        number=number,
                        value=right,
                        other=spoken(other.element),
                    )
                    break


def _row(found: list[DevicePart]) -> list[tuple[int, int, DevicePart]]:
    """Return number, offset y and element by number; empty where they do not stand in one row."""
    row: list[tuple[int, int, DevicePart]] = []
    for part in found:
        y = part.constant(OFFSET_Y)
        if part.number is None or y is None:
            return []
        row.append((part.number, y, part))
    places = {part.constant(OFFSET_X) for part in found}
    return sorted(row, key=lambda item: item[0]) if len(places) == 1 else []
