"""The main file is larger than the receiver takes.

What it checks
    That the main file has at most as many bytes as the profile of the receiver says (limits.main_file_bytes).
Why it matters
    A terminal with little memory stops while it loads, or loads for minutes and ends with half of the set.
Example
    Bad: a TASKDATA.XML of 9 MB for a terminal that takes 4 MB.
    Good: a set with only the fields of the coming jobs.
How to fix
    Send fewer fields, lines and tasks, or thin outlines of thousands of points. If the terminal accepts external files,
    coding data may move into them.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.receiver._profile import against, said
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Place, Rule, Severity

RULE = Rule(
    id="receiver.main-file-too-large",
    severity=Severity.ERROR,
    message=(
        "The main file has {size} bytes, but {receiver} accepts {wanted}{basis}; it may stop loading or refuse the set."
    ),
    remedy="Send only what the coming jobs need, or split it over several sticks with [[convert(receiver)]].",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for a main file that is too large."""
    limit = said(subject, "limits.main_file_bytes")
    blob = None if subject.document is None else subject.document.main.blob
    if limit is not None and blob is not None and blob.size > limit:
        place = Place(file=blob.name)
        yield against(subject, RULE, "limits.main_file_bytes", place, size=blob.size, wanted=limit)
