"""A comment is coded and free at once.

What it checks
    That a comment (CAN) has a coded comment or a free text, not both.
Why it matters
    A receiver keeps one of the two; what else was remarked is lost.
Example
    Bad: <CAN A="CCT1" C="nass"/>
    Good: <CAN A="CCT1"/> and <CAN C="nass"/>
How to fix
    Split it into two comments.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="comment.coded-and-free",
    severity=Severity.ERROR,
    message="A comment of {element} has both the code {code} and a free text; only one is allowed.",
    remedy="Split it into two comments.",
    clause="D.10",
    covers=("R-117",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each comment with both."""
    for comment in subject.tagged("CAN"):
        code = comment.get("CodedCommentIdRef")
        if code is not None and comment.get("FreeCommentText") is not None:
            place = subject.place(comment)
            yield RULE.at(place, element=place.element or comment.tag, code=code)
