"""The set states no version, or one that nobody published.

What it checks
    That VersionMajor is a published version of the standard, and VersionMinor one of its schema revisions.
Why it matters
    A receiver cannot tell by which rules to read the set and may refuse it. An unknown revision of a known version
    is less grave: most receivers read it like the latest they know.
Example
    Bad: VersionMajor="7" VersionMinor="0"
    Good: VersionMajor="4" VersionMinor="3"
How to fix
    Write the set in a published version, or correct the number if only the number is wrong.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.facts import ROOT, elements
from taskdata.isoxml.schema.layout import VERSIONS

RULE = Rule(
    id="version.unknown",
    severity=Severity.ERROR,
    message="The set states version {stated}, which was never published; it was checked as version {taken}.",
    remedy="Write the set in a published version, or correct the number.",
    clause="8.4, D.32",
    covers=("R-019",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for an unknown major version, a milder one for an unknown minor version."""
    if subject.document is None:
        return
    root = subject.document.root
    major, minor = root.get("VersionMajor"), root.get("VersionMinor") or "0"
    known = {value.low for value in elements()[ROOT].attributes["VersionMajor"].values}
    version = subject.document.version
    newest = ".".join(map(str, VERSIONS[-1]))
    if version is None or version[0] not in known:
        stated = "none" if major is None else f"{major}.{minor}"
        yield RULE.at(subject.place(root), stated=stated, taken=newest)
        return
    minors = [number for number in VERSIONS if version is not None and number[0] == version[0]]
    if minors and version not in minors:
        taken = ".".join(map(str, minors[-1]))
        yield RULE.at(subject.place(root), severity=Severity.WARNING, stated=f"{major}.{minor}", taken=taken)
