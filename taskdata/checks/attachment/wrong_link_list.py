"""The file type of an attached file and its name do not belong together.

What it checks
    That an attached file of type 1 is named LINKLIST.XML, and that LINKLIST.XML is of type 1. Where the link list lies
    in the set under another type, the rule linklist.not-attached says so.
Why it matters
    A receiver finds the link list by this type: it reads a file that is not one, or misses the world-wide identities.
Example
    Bad: <AFE A="NOTES001.TXT" B="2" C="" D="1"/>
    Good: <AFE A="LINKLIST.XML" B="2" C="" D="1"/>
How to fix
    Give the attached file the type it has: 1 for the link list, 128 to 254 for proprietary files.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.filenames import LINK_LIST

RULE = Rule(
    id="attachment.wrong-link-list",
    severity=Severity.ERROR,
    message="The attached file {name} has the file type {code}; type {wanted} is for LINKLIST.XML only.",
    remedy="Correct the file type: 1 for LINKLIST.XML only, 128 to 254 for proprietary files.",
    clause="D.3, E.2",
    covers=("R-069",),
    since=4,
)
TYPE = 1


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each attached file whose type and name contradict each other."""
    for element in subject.tagged("AFE"):
        name, code = element.get("FilenameWithExtension"), integer(element, "FileType")
        if name is None or code is None or (name.upper() == LINK_LIST) == (code == TYPE):
            continue
        if code == TYPE or subject.file(LINK_LIST) is None:
            yield RULE.at(subject.place(element), name=name, code=code, wanted=TYPE)
