"""A continuous comment of a completed task never ends.

What it checks
    That in a completed task every continuous comment (CAN with a CCT of scope 3) that took effect has its stop, or its
    duration, in the allocation stamp (ASP) that has its start. One event is one comment, not one for the start and one
    for the stop.
Why it matters
    Where along the field the weeds or the wet ground ended is lost; a map shows them to the end of the work.
Example
    Bad: <CAN A="CCT3"><ASP A="2024-04-18T07:17:30" D="4"/></CAN> in a task of status 4.
    Good: <CAN A="CCT3"><ASP A="2024-04-18T07:17:30" B="2024-04-18T07:21:30" D="4"/></CAN>
How to fix
    Add the stop. Where a second comment marks the end, join the two.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer
from taskdata.checks.comment._continuous import effective_stamps
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity
from taskdata.model.tasks import TaskStatus

RULE = Rule(
    id="comment.no-stop",
    severity=Severity.WARNING,
    message="The task is completed, but its continuous comment {code} of {at} has no stop.",
    remedy="Add the stop; if a second comment marks the end, join the two.",
    clause="D.10",
    covers=("R-119",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such comment."""
    for task, comment, stamp in effective_stamps(subject):
        ended = stamp.get("Stop") is not None or stamp.get("Duration") is not None
        if not ended and integer(task, "TaskStatus") == TaskStatus.COMPLETED:
            at = stamp.get("Start") or "an unknown time"
            yield RULE.at(subject.place(stamp), code=comment.get("CodedCommentIdRef"), at=at)
