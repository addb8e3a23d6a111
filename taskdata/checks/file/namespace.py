"""An XML file uses namespaces.

What it checks
    That no element of the standard is written in a namespace, with a prefix or with an xmlns of its own. A namespace or
    a hint where a schema lies on the root of a file is only a note.
Why it matters
    This is judged, since the standard gives the elements no namespace: a receiver that compares names does not find
    n:PFD, one that minds namespaces does not find a PFD that is in one. What it does not find is lost.
Example
    Bad: <n:PFD A="PFD1" .../>
    Good: <PFD A="PFD1" .../>
How to fix
    Write the elements without prefix and the root without xmlns.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks._names import NAMESPACE, OddName, odd_names
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import elements

RULE = Rule(
    id="file.namespace",
    severity=Severity.WARNING,
    message="{element} uses a namespace, by {what}.",
    remedy="Write the elements of the standard without a prefix and without xmlns.",
    clause="8.4",
    covers=("R-009",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each element of the standard in a namespace, a note for hints on a root."""
    for odd in odd_names(subject):
        if odd.is_proprietary or _is_foreign(odd):
            continue
        severity = Severity.NOTE if odd.element.parent is None and odd.attribute is not None else None
        yield RULE.at(subject.place(odd.element), severity=severity, element=odd.element.tag, what=_what(odd))


def _what(odd: OddName) -> str:
    """Return what puts the element there."""
    return "its prefix" if odd.attribute is None else f"its attribute {odd.attribute}"


def _is_foreign(odd: OddName) -> bool:
    """Tell whether a name concerns no element of the standard: it is other content, which receivers pass over."""
    tag = odd.element.tag.rpartition(":")[2]
    if tag not in elements() or (odd.attribute is not None and odd.attribute != NAMESPACE):
        return odd.element.parent is not None
    return False
