"""The link list is of another version than the set says.

What it checks
    That the file version in the link list is the one its attached file (AFE) states, where both are given. Judged: the
    standard ties the two together by this text.
Why it matters
    The link list may belong to an older state of the set: identities that it gives fit other elements by now.
Example
    Bad: E="2" of the AFE and FileVersion="1" in LINKLIST.XML
    Good: both "2"
How to fix
    Copy the whole set again, so that link list and task data belong together.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import LINK_LIST_ROOT
from taskdata.isoxml.tree.filenames import is_link_list

RULE = Rule(
    id="linklist.other-version",
    severity=Severity.WARNING,
    message="The link list has the file version '{found}', but its attached file (AFE) states '{stated}'.",
    remedy="Copy the whole set again, so that link list and task data belong together.",
    clause="E.2",
    covers=("R-208",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each attached file of the link list with another version."""
    root = subject.link_list.root if subject.link_list is not None else None
    found = root.get("FileVersion") if root is not None and root.tag == LINK_LIST_ROOT else None
    for element in subject.tagged("AFE"):
        stated = element.get("FileVersion")
        if not is_link_list(element) or stated is None or found is None:
            continue
        if stated != found:
            yield RULE.at(subject.place(element), found=found, stated=stated)
