"""State the file version that the link list has.

Why it needs a look: the link list may be of an older hand-over, and its identities may fit other things by now.
"""

from __future__ import annotations

from taskdata.checks.linklist.other_version import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("linklist.other-version",)
STANDING = Standing.REVIEW
ORDER = 43


def repair(work: RepairWork) -> None:
    """Correct the version at each attached link list."""
    for element, finding in work.found(check):
        found = str(finding.facts["found"])
        work.note(RULES[0], element, element.get("FileVersion"), found, "the link list itself says so")
        element.set("FileVersion", found)
