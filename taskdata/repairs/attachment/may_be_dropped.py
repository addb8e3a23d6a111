"""Mark the link list as a file that a terminal has to preserve.

Why it is safe: no content changes; a terminal only keeps what it might have dropped.
"""

from __future__ import annotations

from taskdata.checks.attachment.may_be_dropped import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

PRESERVED = "2"

RULES = ("attachment.may-be-dropped",)
STANDING = Standing.SAFE
ORDER = 42


def repair(work: RepairWork) -> None:
    """Set the mark of each attached link list."""
    for element, _ in work.found(check):
        work.note(RULES[0], element, element.get("Preserve"), PRESERVED, "world-wide identities have to come back")
        element.set("Preserve", PRESERVED)
