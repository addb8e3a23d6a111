"""Two colour ranges of one legend share values.

What it checks
    That no value lies in two colour ranges (CRG) of one legend (CLD). Both ends belong to a range. The standard does
    not forbid an overlap; that it is a fault is judged.
Why it matters
    Two terminals show the shared values in different colours, and the map is misread.
Example
    Bad: <CRG A="0" B="1000" C="12"/> <CRG A="1000" B="2000" C="14"/>
    Good: <CRG A="0" B="999" C="12"/> <CRG A="1000" B="2000" C="14"/>
How to fix
    Let each range begin one above the end of the one before.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="coding.overlapping-colour-ranges",
    severity=Severity.WARNING,
    message="The colour range from {value} begins inside another range of {element}, which ends at {other} (line "
    "{other_line}).",
    remedy="Start each range one above the end of the previous range.",
    clause="D.9",
    covers=("R-073",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each range that begins inside an earlier one, by their lower ends."""
    for legend in subject.tagged("CLD"):
        top: tuple[int, Element] | None = None
        for low, high, _, element in sorted(_ranges(legend)):
            if top is not None and low <= top[0]:
                yield RULE.at(
                    subject.place(element), value=low, other=top[0], element=spoken(legend), other_line=top[1].line
                )
            if top is None or high > top[0]:
                top = (high, element)


def _ranges(legend: Element) -> Iterator[tuple[int, int, int, Element]]:
    """Yield lower end, upper end, position and element of each range that holds a value."""
    for position, element in enumerate(legend.elements("CRG")):
        low, high = integer(element, "MinimumValue"), integer(element, "MaximumValue")
        if low is not None and high is not None and low <= high:
            yield low, high, position, element
