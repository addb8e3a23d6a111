"""A point of a line has an identifier of its own.

What it checks
    That PointId is not used for points (PNT) inside a line string (LSG).
Why it matters
    Only independent points are objects. A receiver makes thousands of objects of the corners of a field, and a strict
    one refuses the set.
Example
    Bad: <LSG A="1"><PNT A="2" C="54.3" D="7.0" G="PNT7"/> ...
    Good: the same without G.
How to fix
    Remove the identifiers.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import POINT

RULE = Rule(
    id="geometry.unwanted-point-id",
    severity=Severity.ERROR,
    message="The point {id} is part of a line; only independent points have an identifier.",
    remedy="Remove the identifier.",
    clause="D.38",
    covers=("R-176",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such identifier."""
    for element in subject.tagged(POINT):
        if element.parent is not None and element.parent.tag == "LSG" and element.id is not None:
            yield RULE.at(subject.place(element), id=element.id)
