"""A file lies in the set that nothing refers to.

What it checks
    That every file of the folder is the main file, the link list, or named by an element of the set.
Why it matters
    The standard does not forbid it; that it is a fault is judged: a receiver does not read the file. If it holds a log
    or fields, the element that should name it got lost; if not, it is litter that makes others wonder.
Example
    Bad: TLG00002.BIN in the folder, and no <TLG A="TLG00002"/>.
    Good: each file is named once.
How to fix
    Remove the file, or restore the element that names it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.files.folders import MAIN
from taskdata.isoxml.tree.filenames import LINK_LIST

RULE = Rule(
    id="file.unused",
    severity=Severity.WARNING,
    message="{file} is in the set, but nothing refers to it.",
    remedy="Remove the file, or restore the element that names it.",
    clause="8.5",
    covers=("R-012",),
)
KNOWN = (MAIN, LINK_LIST)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each file that is not named."""
    if subject.document is None:
        return
    named = {item.name.upper() for item in subject.named_files}
    for name, blob in sorted(subject.document.others.items()):
        if name not in named and name not in KNOWN:
            yield RULE.at(Place(file=blob.name), file=blob.name)
