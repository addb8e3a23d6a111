"""Make one field of two that are the same piece of ground.

Why it needs a look: the outline and the name of the later one are left out. Guidance, lines and all else that it adds
go to the first, and tasks are led over. Fields of different owners, codes or crops are left.
"""

from __future__ import annotations

from taskdata.checks.field.same_ground import check
from taskdata.isoxml.tree.element import Element
from taskdata.repairs.merging import contradicts, merge
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("field.same-ground",)
STANDING = Standing.REVIEW
NEEDS = ("identity.doubled",)

BOUNDARY = "1"


def repair(work: RepairWork) -> None:
    """Merge the later field of each pair that the audit names into the earlier one."""
    for _, finding in work.found(check):
        known = work.document.by_id
        kept, gone = known.get(str(finding.facts["other"])), known.get(str(finding.facts["element"]))
        if kept is None or gone is None or contradicts(kept, gone, ("PartfieldArea",)):
            continue
        outline = [item for item in gone.elements("PLN") if item.get("PolygonType") == BOUNDARY]
        if _is_named(work, outline):
            continue
        reason = (
            f"both cover the same ground; tasks, lines and guidance move to {kept.id}, which keeps its name and outline"
        )
        merge(work, RULES[0], (kept, gone), outline, reason)


def _is_named(work: RepairWork, outline: list[Element]) -> bool:
    """Tell whether something refers to an outline."""
    own = {item.id for polygon in outline for item in polygon.walk() if item.id is not None}
    return bool(own) and any(item.attributes[letter] in own for item, letter in work.references())
