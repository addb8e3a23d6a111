"""An attached file of a maker's own kind does not name the maker.

What it checks
    That an attached file (AFE) of a type that manufacturers define (128 to 254) names its manufacturer. An attribute
    that is missing altogether is found by the check against the schema.
Why it matters
    Each manufacturer numbers its types by itself. Without the manufacturer nobody can tell what the file is.
Example
    Bad: <AFE A="NOTES001.TXT" B="1" C="" D="200"/>
    Good: <AFE A="NOTES001.TXT" B="1" C="9521234000006" D="200"/>
How to fix
    Enter the GLN of the manufacturer whose program wrote the file.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import letter

RULE = Rule(
    id="attachment.no-maker",
    severity=Severity.ERROR,
    message="{name} is of the type {code}, which its manufacturer defines, but names no manufacturer.",
    remedy="Enter the GLN of the manufacturer whose program wrote the file.",
    clause="D.3",
    covers=("R-068",),
    since=4,
)
FIRST, LAST = 128, 254


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each attachment of a maker's kind with an empty manufacturer."""
    for element in subject.tagged("AFE"):
        code, value = integer(element, "FileType"), element.attributes.get(letter("AFE", "ManufacturerGLN"))
        if code is not None and FIRST <= code <= LAST and value is not None and not value.strip():
            name = element.get("FilenameWithExtension") or element.tag
            yield RULE.at(subject.place(element), name=name, code=code)
