"""The list value of a comment does not belong to its coded comment.

What it checks
    That a comment (CAN) that names a list value (CCL) also names a coded comment (CCT), and that the value is one of
    that coded comment.
Why it matters
    The remark gets another meaning, such as "strong" of wind for the strength of weeds.
Example
    Bad: <CAN A="CCT1" B="CCL3"/>, where CCL3 is a value of CCT2.
    Good: <CAN A="CCT2" B="CCL3"/>
How to fix
    Name the coded comment that has this value, or a value of the coded comment named.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import referred
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.phrases import phrase

RULE = Rule(
    id="comment.foreign-value",
    severity=Severity.ERROR,
    message="A comment of {element} names the list value {value}, {what}.",
    remedy="Name the coded comment that has this value, or a value of the coded comment named.",
    clause="D.10",
    covers=("R-118",),
)
CODED, LISTED = "CodedCommentIdRef", "CodedCommentListValueIdRef"


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each list value without its coded comment."""
    for comment in subject.tagged("CAN"):
        value = comment.get(LISTED)
        if value is None:
            continue
        coded, listed = (referred(subject, comment, name) for name in (CODED, LISTED))
        what = None
        if comment.get(CODED) is None:
            what = phrase("but no coded comment")
        elif coded is not None and listed is not None and listed.parent is not coded:
            what = phrase("which does not belong to {id}", id=coded.id)
        if what is not None:
            place = subject.place(comment)
            yield RULE.at(place, element=place.element or comment.tag, value=value, what=what)
