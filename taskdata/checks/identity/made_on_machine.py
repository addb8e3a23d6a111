"""A set of the office holds elements that a machine made.

What it checks
    Whether identifiers in a set whose DataTransferOrigin is 1 have negative numbers, in the task data and in the link
    list.
Why it matters
    The machine numbers what it makes downwards from -1, the office upwards from 1. Worth knowing: such an element once
    came back from a machine, and keeps its number so that the machine knows it again.
Example
    Bad: DataTransferOrigin="1" and <PFD A="PFD-1" .../> that the office made.
    Good: PFD-1 came from the machine; or the office numbers it PFD7.
How to fix
    Nothing, if the element came from a machine. Otherwise give it a positive number.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import Element

RULE = Rule(
    id="identity.made-on-machine",
    severity=Severity.NOTE,
    message="{id} has a negative number: it was made on a machine, yet the set comes from the office.",
    remedy="Nothing to do if it came back from a machine; otherwise give it a positive number.",
    clause="8.4, E.4",
    covers=("R-042", "R-209"),
)
RESERVED = -(1 << 31)
_NEGATIVE = re.compile(r"[A-Z]{3}(-[1-9][0-9]*)")


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element with a negative number in a set of the office."""
    if subject.document is None or subject.document.origin != "FMIS":
        return
    for identifier, element in _identified(subject):
        number = _NEGATIVE.fullmatch(identifier)
        if number and number[1] != str(RESERVED):
            yield RULE.at(subject.place(element), id=identifier)


def _identified(subject: Subject) -> Iterator[tuple[str, Element]]:
    for identifier, found in subject.ids.items():
        for element in found:
            yield identifier, element
    if subject.link_list is not None:
        for group in subject.link_list.root.elements("LGP"):
            yield group.id or "", group
