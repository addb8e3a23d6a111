"""An attached file that the standard predefines names a maker.

What it checks
    That an attached file (AFE) of a type that ISO predefines (1 to 127, such as the link list) has an empty
    manufacturer.
Why it matters
    A receiver takes the file for one of that manufacturer's own and leaves it unread.
Example
    Bad: <AFE A="LINKLIST.XML" B="2" C="9521234000006" D="1"/>
    Good: <AFE A="LINKLIST.XML" B="2" C="" D="1"/>
How to fix
    Clear the manufacturer, or give the file a type of its manufacturer (128 to 254).
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="attachment.unwanted-maker",
    severity=Severity.ERROR,
    message="{name} is of the predefined type {code}, but names the manufacturer '{value}'.",
    remedy="Clear the manufacturer, or give the file a type of its manufacturer (128 to 254).",
    clause="D.3",
    covers=("R-068",),
    since=4,
)
FIRST, LAST = 1, 127


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each predefined attachment with a manufacturer."""
    for element in subject.tagged("AFE"):
        code, value = integer(element, "FileType"), element.get("ManufacturerGLN")
        if code is not None and FIRST <= code <= LAST and value is not None:
            name = element.get("FilenameWithExtension") or element.tag
            yield RULE.at(subject.place(element), name=name, code=code, value=value)
