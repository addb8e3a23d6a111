"""A terminal may drop the link list of this set.

What it checks
    That the link list is attached with the mark that it must be preserved and returned (2), not with the mark that it
    need not be (1).
Why it matters
    A task controller may leave out a file of mark 1, together with its AFE. The set comes back without world-wide
    identities, and the next exchange creates fields and products a second time.
Example
    Bad: <AFE A="LINKLIST.XML" B="1" C="" D="1"/>
    Good: <AFE A="LINKLIST.XML" B="2" C="" D="1"/>
How to fix
    Set the mark of the link list to 2.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.filenames import LINK_LIST

RULE = Rule(
    id="attachment.may-be-dropped",
    severity=Severity.NOTE,
    message="{name} is attached as a file that need not be preserved, so a terminal may drop it.",
    remedy="Mark the link list to be preserved and returned (2).",
    clause="D.3",
    covers=("R-070",),
    since=4,
)
NEED_NOT_BE_PRESERVED = 1


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for a link list that need not be preserved."""
    for element in subject.tagged("AFE"):
        name = element.get("FilenameWithExtension") or ""
        if name.upper() == LINK_LIST and integer(element, "Preserve") == NEED_NOT_BE_PRESERVED:
            yield RULE.at(subject.place(element), name=name)
