"""An external file is not named after what it holds.

What it checks
    That the three letters of the file name in XFR are the tag of the elements inside the file.
Why it matters
    The standard gives the names but does not forbid others; this is judged: a receiver that wants the fields alone
    opens the files that begin with PFD.
Example
    Bad: <XFR A="PDT00001" B="1"/> and fields in PDT00001.XML.
    Good: PFD00001 for fields.
How to fix
    Rename the file and the reference to it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import elements

RULE = Rule(
    id="external.name-of-other-kind",
    severity=Severity.WARNING,
    message="{file} holds elements of type {found}, but its name says {wanted}.",
    remedy="Rename the file and the reference to it.",
    clause="D.55",
    covers=("R-033",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each external file whose first element is of another type than its name says."""
    for file in subject.xml_files:
        known = (element for element in file.root.elements() if element.tag in elements())
        first = next(known, None) if file.role == "external" else None
        if first is not None and first.tag != file.name[:3].upper():
            yield RULE.at(subject.place(first), file=file.name, found=first.tag, wanted=file.name[:3].upper())
