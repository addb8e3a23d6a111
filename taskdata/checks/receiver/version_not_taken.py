"""The receiver does not read this version of the standard.

What it checks
    That the version of the set (VersionMajor) is one that the profile of the receiver lists (receiver.versions).
Why it matters
    Most terminals refuse a set of a later version as a whole, some take it and drop what they do not know: guidance
    lines, comments, references.
Example
    Bad: a set of version 4 for a terminal that reads versions 2 and 3.
    Good: a set of version 3.
How to fix
    Convert the set: taskdata convert SOURCE TARGET --to isoxml --version 3. It lists what the older version cannot
    hold.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="receiver.version-not-taken",
    severity=Severity.ERROR,
    message=(
        "The set has version {version}, but {receiver} reads {listed}{basis}; it may refuse the set or drop parts of "
        "it."
    ),
    remedy="Convert the set with [[convert(receiver)]] to a version that it reads.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for a set of another version, at its root."""
    listed = said(subject, "receiver.versions")
    if listed is None or subject.document is None or subject.document.version is None:
        return
    major = subject.document.version[0]
    if major not in listed:
        place = subject.place(subject.document.root)
        numbers = ", ".join(map(str, listed))
        yield against(subject, RULE, "receiver.versions", place, version=major, listed=numbers)
