"""Make one of two people, customers or farms whose names look the same.

Why it needs a look: they may be two. Those whose addresses or owners contradict each other are left, and so are
products: two that look alike may be two, and a rate of the wrong one does harm.
"""

from __future__ import annotations

from taskdata.checks.name.look_alike import check
from taskdata.repairs.merging import contradicts, merge
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("name.look-alike",)
STANDING = Standing.REVIEW
NEEDS = ("field.same-ground",)

TAGS = {"CTR", "FRM", "WKR"}


def repair(work: RepairWork) -> None:
    """Merge the later one of each such pair into the earlier one."""
    for _, finding in work.found(check):
        facts, known = finding.facts, work.document.by_id
        kept, gone = known.get(str(facts["other"])), known.get(str(facts["element"]))
        if kept is None or gone is None or kept.tag not in TAGS or kept.tag != gone.tag or contradicts(kept, gone):
            continue
        reason = f'"{facts["name"]}" looks like "{facts["text"]}", and nothing else tells them apart'
        merge(work, RULES[0], (kept, gone), [], reason)
