"""The folder of the set is not written in capitals.

What it checks
    That a folder called TASKDATA in any spelling is written in capitals. Whether it lies directly under the root of a
    stick cannot be seen from the files; a folder of quite another name is taken for a copy on a disk.
Why it matters
    Names are case-sensitive: a strict terminal does not find the folder taskdata, and shows an empty stick.
Example
    Bad: taskdata/TASKDATA.XML
    Good: TASKDATA/TASKDATA.XML
How to fix
    Rename the folder before the stick goes to the machine.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.isoxml.files.folders import FOLDER

RULE = Rule(
    id="file.folder-in-other-case",
    severity=Severity.WARNING,
    message="The folder of the set is called {found}; terminals look for {wanted}.",
    remedy="Rename the folder to {wanted} before the stick goes to the machine.",
    clause="8.5",
    covers=("R-002",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding where only the spelling of the folder is wrong."""
    folder = subject.document.folder if subject.document is not None else None
    if folder is not None and folder != FOLDER and folder.upper() == FOLDER:
        yield RULE.at(Place(), found=folder, wanted=FOLDER)
