"""An external file holds elements of several kinds.

What it checks
    That all elements directly in an external file (XFC) have the same tag.
Why it matters
    An external file is named after the one kind it holds. A receiver may read that kind alone and miss the rest.
Example
    Bad: PFD00001.XML with fields and a farm.
    Good: fields in PFD00001.XML, farms in FRM00001.XML.
How to fix
    Move the others into a file of their own kind, or into the main file.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import EXTERNAL_ROOT, elements

RULE = Rule(
    id="external.mixed-content",
    severity=Severity.ERROR,
    message="{file} holds elements of type {wanted} and, from here on, others of type {found}.",
    remedy="Move the others into a file of their own kind, or into the main file.",
    clause="8.5, D.55",
    covers=("R-031",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each further tag in an external file, at its first element."""
    allowed = {child.tag for child in elements()[EXTERNAL_ROOT].children}  # others are found by the schema
    for file in subject.xml_files:
        if file.role != "external":
            continue
        seen: list[str] = []
        for element in file.root.elements():
            if element.tag in allowed and element.tag not in seen:
                seen.append(element.tag)
                if len(seen) > 1:
                    yield RULE.at(subject.place(element), file=file.name, wanted=seen[0], found=element.tag)
