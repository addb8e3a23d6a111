"""Two files of a set differ only in capitals.

What it checks
    That no two files have names that are equal but for capitals. For the link list the standard says it: there is one
    at most. For others it is judged, because names are to be in capitals.
Why it matters
    A stick or a computer that does not tell capitals keeps one of the two, silently, and receivers differ in which one
    they read.
Example
    Bad: LINKLIST.XML and linklist.xml
    Good: LINKLIST.XML alone.
How to fix
    Find out which of the two is right, and remove the other.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.tree.filenames import LINK_LIST

RULE = Rule(
    id="file.same-name-in-other-case",
    severity=Severity.WARNING,
    message="The names {file} and {other} differ only in case; the set was checked with {taken}.",
    remedy="Find out which of the two is right, and remove the other.",
    clause="8.5, E.2",
    covers=("R-016", "R-206"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further file of a name."""
    if subject.document is None:
        return
    parsed = [file.name for file in subject.document.xml_files if file.blob is not None]
    first: dict[str, str] = {}
    for name in [*parsed, *(blob.name for blob in subject.document.others.values())]:
        taken = first.setdefault(name.upper(), name)
        if taken != name:
            severity = Severity.ERROR if name.upper() == LINK_LIST else None
            yield RULE.at(Place(file=name), severity=severity, file=name, other=taken, taken=taken)
