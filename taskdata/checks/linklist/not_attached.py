"""A link list lies in the set without being attached.

What it checks
    That a set with LINKLIST.XML names it in an attached file (AFE) of type 1.
Why it matters
    A receiver looks for the link list through the attached files; without one it is not read, and the world-wide
    identities it holds are lost.
Example
    Bad: LINKLIST.XML in the folder, no AFE in TASKDATA.XML.
    Good: <AFE A="LINKLIST.XML" B="2" C="" D="1"/>
How to fix
    Add the attached file, or remove the link list.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.tree.filenames import LINK_LIST

RULE = Rule(
    id="linklist.not-attached",
    severity=Severity.ERROR,
    message="{file} is in the set, but no attached file (AFE) of type 1 names it.",
    remedy="Add an attached file of type 1 that names it, or remove the link list.",
    clause="E.2",
    covers=("R-069", "R-206"),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for a link list that no attached file of type 1 names."""
    found = subject.file(LINK_LIST)
    named = {
        (item.get("FileType"), (item.get("FilenameWithExtension") or "").upper()) for item in subject.tagged("AFE")
    }
    if found is not None and ("1", LINK_LIST) not in named:
        yield RULE.at(Place(file=found.name), file=found.name)
