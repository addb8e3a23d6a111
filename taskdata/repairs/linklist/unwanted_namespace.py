"""Take namespaces out of link groups whose type does not use them.

Why it needs a look: if the values need the namespace, the type of the group is wrong.
"""

from __future__ import annotations

from taskdata.checks.linklist.unwanted_namespace import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("linklist.unwanted-namespace",)
STANDING = Standing.REVIEW
ORDER = 42


def repair(work: RepairWork) -> None:
    """Take out each such namespace."""
    for element, finding in work.found(check):
        work.note(RULES[0], element, finding.facts["value"], None, "links of this type stand by themselves")
        element.set("LinkGroupNamespace", None)
