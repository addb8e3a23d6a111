"""A set holds a link list although its version has none.

What it checks
    That a set of version 2 or 3 holds no LINKLIST.XML.
Why it matters
    Link lists came with version 4. A receiver of an older set ignores the file, and its identities are lost.
Example
    Bad: VersionMajor="3" and a LINKLIST.XML in the folder.
    Good: VersionMajor="4", or no link list.
How to fix
    Write the set as version 4, or remove the link list.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.tree.filenames import LINK_LIST

RULE = Rule(
    id="linklist.too-early",
    severity=Severity.ERROR,
    message="{file} is in a set of version {version}, which has no link lists.",
    remedy="Write the set as version 4, or remove the link list.",
    clause="E.1",
    covers=("R-207",),
    until=3,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for a link list."""
    found = subject.file(LINK_LIST)
    if found is not None:
        yield RULE.at(Place(file=found.name), file=found.name, version=subject.major)
