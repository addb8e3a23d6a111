"""The name of an attached file is shorter than a terminal may expect.

What it checks
    That the name of an attached file (AFE) has twelve characters: eight, a point and three. The standard prints this
    one length, and does not say whether shorter names are allowed; hence only a warning. Other forms of the name are
    found by the check against the schema.
Why it matters
    A terminal that takes the printed length at its word refuses the set.
Example
    Bad: <AFE A="NOTES.TXT" .../>
    Good: <AFE A="NOTES001.TXT" .../>
How to fix
    Rename the file and its AFE: eight capitals or digits, a point, three capitals or digits.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import elements

RULE = Rule(
    id="attachment.short-name",
    severity=Severity.WARNING,
    message="The name {name} has {count} characters; the standard requires {wanted}.",
    remedy="Rename the file and the attached file to eight characters, a point and three characters.",
    clause="D.3",
    covers=("R-067",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each attached file with a shorter name of the right form."""
    fact = elements()["AFE"].attributes["A"]
    wanted = fact.max_length or 0
    for element in subject.tagged("AFE"):
        name = element.get("FilenameWithExtension") or ""
        if re.fullmatch(fact.pattern or "", name) and len(name) < wanted:
            yield RULE.at(subject.place(element), name=name, count=len(name), wanted=wanted)
