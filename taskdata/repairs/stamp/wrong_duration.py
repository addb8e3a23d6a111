"""State the duration that passes from start to stop.

Why it needs a look: the stamps may be what is wrong.
"""

from __future__ import annotations

from taskdata.checks.stamp.wrong_duration import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("stamp.wrong-duration",)
STANDING = Standing.REVIEW
ORDER = 61


def repair(work: RepairWork) -> None:
    """Correct each duration by its stamps."""
    for element, finding in work.found(check):
        passed = str(round(float(str(finding.facts["expected"]))))
        work.note(RULES[0], element, element.get("Duration"), passed, "as many seconds pass from start to stop")
        element.set("Duration", passed)
