"""The header of a time log lists more than one position.

What it checks
    That the header of a time log holds at most one position (PTN).
Why it matters
    A record has room for one position. Which of the two it holds is not clear, so the machine's track is in doubt.
Example
    Bad: two <PTN A="" B="" D=""/> in TLG00001.XML.
    Good: one.
How to fix
    Remove the one that does not describe the records; if in doubt, write the log again.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.two-positions",
    severity=Severity.ERROR,
    message="The header {file} lists {count} positions; a record holds one.",
    remedy="Remove the position that does not describe the records.",
    clause="8.6.3",
    covers=("R-192",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each header with several positions, at the second."""
    for file in subject.xml_files:
        positions = list(file.root.elements("PTN")) if file.role == "header" else []
        if len(positions) > 1:
            yield RULE.at(subject.place(positions[1]), file=file.name, count=len(positions))
