"""Leave out defaults that name a treatment zone which the task does not have.

Why it needs a look: where the machine would have fallen back to a rate, it has none now. A zone that sets zero takes
the place where there is one, or can be made (see zone.no-default).
"""

from __future__ import annotations

from taskdata.checks.task.unknown_zone import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("task.unknown-zone",)
STANDING = Standing.REVIEW
ORDER = 45


def repair(work: RepairWork) -> None:
    """Take each such code out of its task."""
    for element, finding in work.found(check):
        name = str(finding.facts["name"])
        work.note(RULES[0], element, element.get(name), None, f"{name} is the code of no zone of this task")
        element.set(name, None)
