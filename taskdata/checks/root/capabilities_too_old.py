"""A task controller wrote a set of a version that it does not know.

What it checks
    That the version a task controller (TCC) states for itself is not lower than VersionMajor of the set.
Why it matters
    The standard does not say this; it is judged: a controller of version 3 that writes version 4 contradicts itself.
    Which of the two the next set may use is unknown.
Example
    Bad: VersionMajor="4" and <TCC ... C="3" .../>
    Good: VersionMajor="4" and C="4"
How to fix
    Send the next set in the lower version, and ask the manufacturer of the terminal.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="root.capabilities-too-old",
    severity=Severity.WARNING,
    message="The task controller has version {found}, but wrote a set of version {version}.",
    remedy="Send the next set in the lower version, and ask the manufacturer of the terminal.",
    clause="D.47",
    covers=("R-027",),
    since=4,
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each task controller of an older version than the set."""
    for element in subject.tagged("TCC"):
        text = (element.get("VersionNumber") or "").strip()
        if subject.major is not None and text in {"0", "1", "2", "3"} and int(text) < subject.major:
            yield RULE.at(subject.place(element), found=int(text), version=subject.major)
