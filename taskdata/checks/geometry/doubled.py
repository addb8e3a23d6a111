"""A line, polygon or point stands twice in a field.

What it checks
    That no two lines or polygons of one field, and no two guidance patterns of one group, have the same kind, the same
    options and the same points, whatever they are called. Of points in a field the names count too.
Why it matters
    The driver chooses between two lines that are one, and a shift is made to one of them only. Doubled polygons count
    twice in areas and limits.
Example
    Bad: two guidance patterns of a group from the same A to the same B.
    Good: one.
How to fix
    Delete one, and redirect tasks that name it to the other.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._content import doubled
from taskdata.checks.coding._reading import spoken
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import POINT

RULE = Rule(
    id="geometry.doubled",
    severity=Severity.WARNING,
    message="{element} is the same {what} as {other}, which comes before it in {whole}.",
    remedy="Delete one, and redirect tasks that name it to the other.",
)
WHAT = {"GGP": "group of guidance lines", "GPN": "guidance line", "LSG": "line", "PLN": "polygon", POINT: "point"}
OWNERS = {"PFD": ("GGP", "LSG", "PLN", POINT), "GGP": ("GPN",)}


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such shape, at the later one."""
    for tag, tags in OWNERS.items():
        for owner in subject.tagged(tag):
            for kind in tags:
                for other, element in doubled(owner.elements(kind), named=kind == POINT):
                    yield RULE.at(
                        subject.place(element),
                        element=spoken(element),
                        what=WHAT[kind],
                        other=spoken(other),
                        whole=spoken(owner),
                    )
