"""Two files of a set use one identifier.

What it checks
    That an identifier is given once in the whole set: main file and external files together. Two in the same file
    are found by the check against the schema.
Why it matters
    A reference to that identifier means two things; a receiver picks one, silently.
Example
    Bad: PFD1 in TASKDATA.XML and another PFD1 in PFD00001.XML.
    Good: PFD1 and PFD2.
How to fix
    Give one of the two a free number and correct the references to it.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="identity.repeated",
    severity=Severity.ERROR,
    message="{id} is already the identifier of an element on line {other_line} of {other_file}.",
    remedy="Give one of them a free number and correct the references to it.",
    clause="8.4",
    covers=("R-037", "R-072"),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for the first element in each further file that uses an identifier."""
    for identifier, found in subject.ids.items():
        files = {found[0].file}
        for element in found[1:]:
            if element.file not in files:
                files.add(element.file)
                yield RULE.at(subject.place(element), id=identifier, other_line=found[0].line, other_file=found[0].file)
