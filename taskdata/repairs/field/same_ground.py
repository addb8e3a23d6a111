"""Make one field of those that are the same piece of ground.

Why it needs a look: the outlines and the names of the later ones are left out. Guidance, lines and all else that they
add go to the first, and tasks are led over. Fields of different owners, codes or crops are left.
"""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.field._groups import on_same_ground
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.merging import contradicts, merge
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("field.same-ground",)
STANDING = Standing.REVIEW
NEEDS = ("identity.doubled",)

BOUNDARY = "1"


def repair(work: RepairWork) -> None:
    """Merge the later fields of each group that the audit names into the first."""
    known = work.document.by_id
    referred = {item.attributes[letter] for item, letter in work.references()}
    pairs = [
        (known.get(first.field.id), known.get(plot.field.id))
        for first, others in on_same_ground(work.audited())
        for plot in others
    ]
    with work.renumbering():
        for kept, gone in pairs:
            if kept is None or gone is None or kept is gone or contradicts(kept, gone, ("PartfieldArea",)):
                continue
            outline = [item for item in gone.elements("PLN") if item.get("PolygonType") == BOUNDARY]
            if not referred.isdisjoint(_ids_in(outline)):
                continue
            reason = phrase(
                "both cover the same ground; tasks, lines and guidance move to {name}, "
                "which keeps its name and outline",
                name=kept.id,
            )
            merge(work, RULES[0], (kept, gone), outline, reason)


def _ids_in(outline: list[Element]) -> Iterator[str]:
    return (item.id for polygon in outline for item in polygon.walk() if item.id is not None)
