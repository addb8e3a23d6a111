"""Keep one of two lines, polygons or points of a field that are the same.

Why it needs a look: the name of the later one is left out. Those that have world-wide identities of their own are left.
"""

from __future__ import annotations

from taskdata.checks._content import doubled
from taskdata.checks.geometry.doubled import OWNERS, check
from taskdata.isoxml.tree.element import POINT
from taskdata.repairs.merging import are_two_by_link, merge
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.doubled",)
STANDING = Standing.REVIEW
NEEDS = ("name.look-alike",)


def repair(work: RepairWork) -> None:
    """Merge each such shape into the one that stands before it."""
    if not work.audit(check):
        return
    for tag, tags in OWNERS.items():
        for owner in work.tagged(tag):
            for kind in tags:
                for kept, gone in list(doubled(owner.elements(kind), named=kind == POINT)):
                    if owner.parent is not None and not are_two_by_link(work, kept, gone):
                        reason = "both have the same kind, options and points; references now name the first"
                        merge(work, RULES[0], (kept, gone), [], reason)
