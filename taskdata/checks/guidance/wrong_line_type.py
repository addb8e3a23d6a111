"""The line of a guidance pattern has a type that is not for guidance.

What it checks
    That the line string (LSG) in a guidance pattern (GPN) is of type 5, guidance pattern.
Why it matters
    A terminal looks for a line of that type. It finds none and shows the pattern without a line, or not at all.
Example
    Bad: <GPN A="GPN1" C="1"><LSG A="3"> ...
    Good: <GPN A="GPN1" C="1"><LSG A="5"> ...
How to fix
    Set the type to 5. A tram line that is no pattern belongs into the field, not into a group.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.shapes import LineKind

RULE = Rule(
    id="guidance.wrong-line-type",
    severity=Severity.ERROR,
    message="The line of {element} has the type {found}; a guidance pattern requires type {wanted}.",
    remedy="Set the type to {wanted}.",
    clause="D.30, D.33",
    covers=("R-181",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each line of a pattern that is of another type."""
    for pattern in subject.tagged("GPN"):
        for line in pattern.elements("LSG"):
            found = integer(line, "LineStringType")
            if found is not None and found != LineKind.GUIDANCE:
                place = subject.place(line)
                owner = place.element or pattern.tag
                yield RULE.at(place, element=owner, found=found, wanted=int(LineKind.GUIDANCE))
