"""A section does not say where it is and how wide it is.

What it checks
    That each section gives a working width (actual 0043, maximum 0046 or default 0044) and its offset y (0087), and
    that the section or the element above it gives the offset x (0086). The DDIs of the offsets are from memory.
Why it matters
    The terminal cannot tell when the section is over worked ground: it stays on, or off.
Example
    Bad: a section with a width and no offset.
    Good: references to DPT of DDI 0087 and 0043; x stands at the boom.
How to fix
    Enter the dimensions on the machine, and load its device description again.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import WIDTHS
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import OFFSET_X, OFFSET_Y, SECTION, DevicePart, parts
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.section-without-extent",
    severity=Severity.WARNING,
    message="The section {element} does not state {what}.",
    remedy="Enter the dimensions on the machine and load its device description again.",
    clause="F.3.5",
    covers=("R-222",),
    since=3,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each section without all its measures."""
    for part in parts(subject):
        what = ", ".join(_missing(part)) if part.kind == SECTION and part.complete else ""
        if what:
            yield RULE.at(subject.place(part.element), element=spoken(part.element), what=what)


def _missing(part: DevicePart) -> Iterator[str]:
    """Name what is missing; an element above that cannot be read is taken to give the offset x."""
    upper = part.parent
    known = bool(part.parent_id) if upper is None else not upper.complete or bool(upper.of(OFFSET_X))
    if not part.of(OFFSET_X) and not known:
        yield "offset x"
    if not part.of(OFFSET_Y):
        yield "offset y"
    if not part.of(*WIDTHS):
        yield "working width"
