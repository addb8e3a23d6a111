"""A link names an element that the set does not have.

What it checks
    That the object of every link (LNK) is the identifier of an element of the task data.
Why it matters
    The link is lost, and with it the world-wide identity of a field, a product or a task: the next exchange creates
    it a second time.
Example
    Bad: <LNK A="PFD9" .../> while the set has no PFD9.
    Good: A="PFD1", and a PFD with A="PFD1".
How to fix
    Remove the link, or correct its object. A link list belongs to one set: check that it is the right one.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="linklist.dangling",
    severity=Severity.ERROR,
    message="A link names {target}, which is not in the set.",
    remedy="Remove the link or correct its object; check that the link list belongs to this set.",
    clause="E.3",
    covers=("R-210",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each link without an object."""
    if subject.link_list is None:
        return
    for element in subject.link_list.root.walk():
        target = element.get("ObjectIdRef") if element.tag == "LNK" else None
        if target is not None and target not in subject.ids:
            yield RULE.at(subject.place(element), target=target)
