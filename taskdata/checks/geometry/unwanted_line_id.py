"""A line string inside a polygon or a guidance pattern has an identifier of its own.

What it checks
    That LineStringId is not used for the rings of polygons (PLN) and the lines of guidance patterns (GPN).
Why it matters
    Polygon and pattern have their own identifiers; a second one for the same thing makes two objects of it in the
    receiver, and a strict one refuses the set.
Example
    Bad: <PLN A="1"><LSG A="1" F="LSG7"> ...
    Good: <PLN A="1" E="PLN7"><LSG A="1"> ...
How to fix
    Remove the identifier; identify the polygon or the pattern instead.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.phrases import phrase

RULE = Rule(
    id="geometry.unwanted-line-id",
    severity=Severity.ERROR,
    message="The line string {id} is part of a {parent}; only lines of a field have an identifier.",
    remedy="Remove the identifier; identify the polygon or the pattern instead.",
    clause="D.33",
    covers=("R-175",),
    since=4,
)
OWNERS = {"PLN": phrase("polygon (PLN)"), "GPN": phrase("guidance pattern (GPN)")}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such identifier."""
    for element in subject.tagged("LSG"):
        if element.parent is not None and element.parent.tag in OWNERS and element.id is not None:
            yield RULE.at(subject.place(element), id=element.id, parent=OWNERS[element.parent.tag])
