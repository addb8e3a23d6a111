"""Empty the manufacturer of attached files of a predefined type.

Why it needs a look: the type may be what is wrong, and the manufacturer right.
"""

from __future__ import annotations

from taskdata.checks.attachment.unwanted_maker import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("attachment.unwanted-maker",)
STANDING = Standing.REVIEW
ORDER = 42


def repair(work: RepairWork) -> None:
    """Empty each such manufacturer."""
    for element, finding in work.found(check):
        reason = f"the type {finding.facts['code']} is predefined and belongs to no manufacturer"
        work.note(RULES[0], element, element.get("ManufacturerGLN"), "", reason)
        element.set("ManufacturerGLN", "")
