"""A continuous comment took effect in a task without a log.

What it checks
    That a task with a continuous comment (CAN with a CCT of scope 3) that took effect has a time log. While such a
    comment is active, time and position are logged, once a second if nothing else asks for more.
Why it matters
    Only start and stop of the remark are known, not the track between: it cannot be drawn on a map.
Example
    Bad: such a comment in a task without <TLG .../>.
    Good: the task has a time log.
How to fix
    Look for the log on the terminal. It cannot be made afterwards.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.comment._continuous import effective_stamps
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="comment.not-logged",
    severity=Severity.NOTE,
    message="The continuous comment {code} took effect, but {task} has no time log.",
    remedy="Look for the log on the terminal.",
    clause="D.10",
    covers=("R-120",),
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each such comment."""
    for task, comment, stamp in effective_stamps(subject):
        if next(task.elements("TLG"), None) is None:
            facts = {"code": comment.get("CodedCommentIdRef"), "task": task.id or task.tag}
            yield RULE.at(subject.place(stamp), severity=None, **facts)
