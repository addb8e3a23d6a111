"""The receiver does not take binary point files.

What it checks
    That no point (PNT) names a binary file for a receiver whose profile says that it does not accept them
    (takes.binary_points).
Why it matters
    The ring or line is empty on the terminal: the field has no boundary, the line no course.
Example
    Bad: <LSG A="1"><PNT A="" C="" D="" J="PNT00001"/></LSG>.
    Good: the same points as elements.
How to fix
    Write the points as elements: taskdata convert SOURCE TARGET --receiver FILE does so.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, refused
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.isoxml.tree.element import POINT
from taskdata.isoxml.tree.filenames import file_name

RULE = Rule(
    id="receiver.binary-points-not-taken",
    severity=Severity.ERROR,
    message="{receiver} does not accept binary point files{basis}; the points in {file} will be missing on it.",
    remedy="Convert the set with [[convert(receiver)]], which writes the points as elements.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each point that names a file."""
    if not refused(subject, "takes.binary_points"):
        return
    for element in subject.tagged(POINT):
        name = file_name(element)
        if name is not None:
            yield against(subject, RULE, "takes.binary_points", subject.place(element), file=name)
