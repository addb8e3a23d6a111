"""Two sections of a boom do not lie side by side.

What it checks
    That the sections of a boom meet without gap or overlap across the machine, to 10 mm, where all of them give their
    offset y and their width as constants. A section covers half its width to both sides of its offset; its width is the
    actual, else the maximum, else the default one.
Why it matters
    In a gap nothing is applied, in an overlap twice as much; at least in the terminal's view, which decides when
    sections switch.
Example
    Bad: sections of 3000 mm at y = -1500 and y = 1600.
    Good: sections of 3000 mm at y = -1500 and y = 1500.
How to fix
    Compare with the machine and correct offsets or widths. Offsets count from the device reference point, not from the
    boom.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from taskdata.checks.boom._booms import WIDTHS, booms, sections
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import OFFSET_Y, DevicePart
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.gap-or-overlap",
    severity=Severity.WARNING,
    message="There is {what} of {value} mm between {other} and {element}.",
    remedy="Measure the machine, and correct the offsets or widths of the sections.",
    clause="F.3.5",
    covers=("R-224",),
    since=3,
)
TOLERANCE_MM = 10


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each two neighbours that do not meet."""
    for boom in booms(subject):
        for (_, right, other), (left, _, part) in pairwise(_across(sections(boom))):
            gap = left - right
            if abs(gap) > TOLERANCE_MM:
                what, value = ("a gap" if gap > 0 else "an overlap"), round(abs(gap))
                place = subject.place(part.element)
                yield RULE.at(place, other=spoken(other.element), element=spoken(part.element), what=what, value=value)


def _across(found: list[DevicePart]) -> list[tuple[float, float, DevicePart]]:
    """Return left and right end in mm and element, from left to right; empty where one of them is not constant."""
    ends: list[tuple[float, float, DevicePart]] = []
    for part in found:
        middle, width = part.constant(OFFSET_Y), _width(part)
        if middle is None or width is None:
            return []
        ends.append((middle - width / 2, middle + width / 2, part))
    return sorted(ends, key=lambda item: item[:2])


def _width(part: DevicePart) -> int | None:
    given = next((ddi for ddi in WIDTHS if part.of(ddi)), None)
    return None if given is None else part.constant(given)
