"""A comment says nothing.

What it checks
    That a comment (CAN) has a coded comment or a free text.
Why it matters
    Somebody remarked something at that time and place, and what it was is lost.
Example
    Bad: <CAN/>
    Good: <CAN A="CCT1"/> or <CAN C="nass"/>
How to fix
    Add the code or text, or remove the comment.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="comment.empty",
    severity=Severity.ERROR,
    message="A comment of {element} has neither a code nor a free text.",
    remedy="Add the code or text, or remove the comment.",
    clause="D.10",
    covers=("R-117",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each comment with neither; one with only a list value comment.foreign-value reports."""
    for comment in subject.tagged("CAN"):
        names = ("CodedCommentIdRef", "FreeCommentText", "CodedCommentListValueIdRef")
        if all(comment.get(name) is None for name in names):
            place = subject.place(comment)
            yield RULE.at(place, element=place.element or comment.tag)
