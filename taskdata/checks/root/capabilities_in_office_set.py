"""A set of the office holds the capabilities of a task controller.

What it checks
    That a task controller with its capabilities (TCC) is only in a set whose DataTransferOrigin is 2. More than one is
    found by the check against the schema.
Why it matters
    Only the machine knows what it can do. Capabilities that the office sends back may be stale, or another machine's.
Example
    Bad: DataTransferOrigin="1" and a TCC.
    Good: DataTransferOrigin="2" and a TCC, or none of it.
How to fix
    Remove the TCC, or state the machine as origin if it wrote the set last.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="root.capabilities-in-office-set",
    severity=Severity.ERROR,
    message="The set comes from the office, but holds the capabilities of a task controller (TCC).",
    remedy="Remove the TCC, or state the machine as origin if it wrote the set last.",
    clause="D.32, D.47",
    covers=("R-024",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for the first TCC of an office set."""
    if subject.document is None or subject.document.origin != "FMIS":
        return
    for element in subject.document.root.elements("TCC"):
        yield RULE.at(subject.place(element))
        return
