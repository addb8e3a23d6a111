"""The receiver does not take external files.

What it checks
    That the main file names no external files (XFR) for a receiver whose profile says that it does not accept them
    (takes.external_files).
Why it matters
    Everything in them is missing on the terminal, and what refers to it leads nowhere.
Example
    Bad: <XFR A="PFD00001" .../> in the main file.
    Good: the fields in the main file itself.
How to fix
    Move the content of the external files into the main file: taskdata convert SOURCE TARGET --receiver FILE does so.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, refused
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.filenames import file_name

RULE = Rule(
    id="receiver.external-files-not-taken",
    severity=Severity.ERROR,
    message="{receiver} does not accept external files{basis}; the content of {file} will be missing on it.",
    remedy="Convert the set with [[convert(receiver)]], which writes one file.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each external file."""
    if not refused(subject, "takes.external_files"):
        return
    for element in subject.tagged("XFR"):
        facts = {"file": file_name(element)}
        yield against(subject, RULE, "takes.external_files", subject.place(element), **facts)
