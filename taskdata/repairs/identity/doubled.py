"""Make one of two things that are equal in all they say.

Why it needs a look: two people may share a name. Those that have world-wide identities of their own are left.
"""

from __future__ import annotations

from taskdata.checks.identity.doubled import check
from taskdata.repairs.merging import are_two_by_link, merge
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("identity.doubled",)
STANDING = Standing.REVIEW
NEEDS = ("field.wrong-area", "linklist.dangling", "reference.dangling", "schema.invalid-value")


def repair(work: RepairWork) -> None:
    """Merge each thing that the audit names into the one that stands before it."""
    for _, finding in work.found(check):
        known = work.document.by_id
        kept, gone = known.get(str(finding.facts["other"])), known.get(str(finding.facts["element"]))
        if kept is None or gone is None or kept.tag != gone.tag or are_two_by_link(work, kept, gone):
            continue
        reason = f"both are the same apart from their identifiers; all references now name {kept.id}"
        merge(work, RULES[0], (kept, gone), [], reason)
