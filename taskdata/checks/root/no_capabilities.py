"""A set that a machine wrote does not say what its task controller can do.

What it checks
    That a set of version 4 whose DataTransferOrigin is 2 holds a task controller with its capabilities (TCC).
Why it matters
    The office learns from it which version, how many sections and which types of prescription maps the machine accepts.
    Without it the next set is made on a guess.
Example
    Bad: DataTransferOrigin="2" and no TCC.
    Good: <TCC A="A00284000000FFFF" B="Terminal" C="4" D="1" E="0" F="0" G="0"/>
How to fix
    Have the terminal write the set again; state the office as origin if the office wrote it last.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="root.no-capabilities",
    severity=Severity.ERROR,
    message="The set comes from a machine, but holds no capabilities of its task controller (TCC).",
    remedy="Have the terminal write the set again; state the office as origin if the office wrote it last.",
    clause="D.32",
    covers=("R-025",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding where the TCC is missing."""
    document = subject.document
    if document is not None and document.origin == "MICS" and not subject.tagged("TCC"):
        yield RULE.at(subject.place(document.root))
