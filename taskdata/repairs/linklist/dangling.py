"""Take out links of things that the set does not have.

Why it needs a look: the link list may belong to another set. As long as an external file is missing or unreadable, or
an unused file holds what a link names, the link stays.
"""

from __future__ import annotations

from taskdata.checks.linklist.dangling import check
from taskdata.phrases import phrase
from taskdata.repairs.merging import remove_link
from taskdata.repairs.reference._whereabouts import Whereabouts
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("linklist.dangling",)
STANDING = Standing.REVIEW
NEEDS = ("reference.unnamed_file", "linklist.second-uuid")


def repair(work: RepairWork) -> None:
    """Take out each such link, and its group with the last one."""
    elsewhere = Whereabouts(work.document)
    for element, finding in work.found(check):
        if elsewhere.may_hold(str(finding.facts["target"])):
            continue
        reason = phrase("{target} is not in the set", target=finding.facts["target"])
        work.note(RULES[0], element, element.get("LinkValue"), None, reason)
        remove_link(element)
        work.touch()
