"""The maker of an attached file has an impossible number.

What it checks
    That the manufacturer of an attached file (AFE) of a manufacturer's own type is a GLN: 13 digits with the right
    check digit. One that is written as a URI is not looked into. The standard names the kind of number; its digits are
    ruled by the GS1 General Specifications.
Why it matters
    A mistyped number names nobody, or somebody else. Programs compare it to find their own files.
Example
    Bad: C="9521234000007"
    Good: C="9521234000006"
How to fix
    Ask the manufacturer for the number.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.gln import is_gln
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="attachment.wrong-maker",
    severity=Severity.WARNING,
    message="The manufacturer of {name} is '{value}', which is not a GLN of 13 digits with a valid check digit.",
    remedy="Ask the manufacturer for the number.",
    clause="D.3",
    covers=("R-068",),
    since=4,
)
FIRST, LAST = 128, 254


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each attachment of a maker's kind whose number cannot be right."""
    for element in subject.tagged("AFE"):
        code, value = integer(element, "FileType"), (element.get("ManufacturerGLN") or "").strip()
        if code is not None and FIRST <= code <= LAST and value and ":" not in value and not is_gln(value):
            name = element.get("FilenameWithExtension") or element.tag
            yield RULE.at(subject.place(element), name=name, value=value)
