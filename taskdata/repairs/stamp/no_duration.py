"""Leave out durations of zero seconds.

Why it needs a look: the time has no length then either; its end may have to be filled in.
"""

from __future__ import annotations

from taskdata.checks.stamp.no_duration import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("stamp.no-duration",)
STANDING = Standing.REVIEW
ORDER = 62


def repair(work: RepairWork) -> None:
    """Take out each such duration."""
    for element, _ in work.found(check):
        work.note(RULES[0], element, element.get("Duration"), None, "work of no length is an end never filled in")
        element.set("Duration", None)
