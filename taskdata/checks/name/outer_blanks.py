"""A name begins or ends with a blank.

What it checks
    That no name begins or ends with a blank, a tab or a line break, and that none consists of them alone. That blanks
    at the ends carry no information is judged.
Why it matters
    Nobody sees it, but programs compare names letter by letter: what comes back from the machine does not match what
    was sent, and it is there twice. In a sorted list the name is in the wrong place.
Example
    Bad: <PFD A="PFD1" C="Kuhle " D="0"/>
    Good: <PFD A="PFD1" C="Kuhle" D="0"/>
How to fix
    Remove the blanks.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._naming import names
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="name.outer-blanks",
    severity=Severity.NOTE,
    message='A name of {element} {what}: "{name}".',
    remedy="Remove the blanks.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such name."""
    for name, place_of in names(subject):
        if name != name.strip():
            place = place_of()
            yield RULE.at(place, element=place.element or "the set", what=_what(name), name=name)


def _what(name: str) -> str:
    if not name.strip():
        return "consists only of blanks"
    ends = [word for word, first in (("begins", name[0]), ("ends", name[-1])) if first.isspace()]
    return f"{' and '.join(ends)} with a blank"
