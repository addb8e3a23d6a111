"""A boom does not say where it is and how wide it may be.

What it checks
    That each boom and sub-boom gives its offsets x (DDI 0086) and y (0087) and its maximum working width (0046). A boom
    is a device or function element with sections below it, or a function element with a working width or another boom
    below it (judged). The DDIs of the offsets are from memory.
Why it matters
    A terminal may not work these out from the sections. Without them coverage and overlap are shown at the wrong place.
Example
    Bad: a function element with nine sections, and without DDI 0046.
    Good: references to DPT of DDI 0086, 0087 and 0046.
How to fix
    Enter the dimensions on the machine, and load its device description again.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.boom._booms import booms
from taskdata.checks.coding._reading import spoken
from taskdata.checks.device._devices import MAXIMUM_WIDTH, OFFSET_X, OFFSET_Y
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="boom.no-extent",
    severity=Severity.WARNING,
    message="The boom {element} does not state {what}.",
    remedy="Enter the dimensions on the machine and load its device description again.",
    clause="F.3.4",
    covers=("R-221", "R-229"),
    since=3,
)
WANTED = {"offset x": OFFSET_X, "offset y": OFFSET_Y, "maximum working width": MAXIMUM_WIDTH}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each boom without all its measures."""
    for boom in booms(subject):
        what = ", ".join(words for words, ddi in WANTED.items() if not boom.of(ddi))
        if what and boom.complete:
            yield RULE.at(subject.place(boom.element), element=spoken(boom.element), what=what)
