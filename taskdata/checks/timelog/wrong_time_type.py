"""The header of a time log says that its times are not effective ones.

What it checks
    That the type of the time (TIM) in the header of a time log is 4, effective.
Why it matters
    The standard fixes it; a receiver that trusts the type leaves the log out of worked time.
Example
    Bad: <TIM A="" D="1"> in TLG00001.XML.
    Good: <TIM A="" D="4">
How to fix
    Correct the type in the header. The records need no change.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="timelog.wrong-time-type",
    severity=Severity.ERROR,
    message="The header {file} gives its times the type {type}; a log has only type 4 (effective).",
    remedy="Correct the type in the header to 4.",
    clause="D.49",
    covers=("R-193",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each header with another type of time."""
    for file in subject.xml_files:
        kind = file.root.get("Type") if file.role == "header" and file.root.tag == "TIM" else None
        if kind is not None and kind != "4":
            yield RULE.at(subject.place(file.root), file=file.name, type=kind)
