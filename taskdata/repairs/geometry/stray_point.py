"""Leave out a point of a ring that lies far from all others.

Why it needs a look: the corner that it was meant to be is missing from the outline then.
"""

from __future__ import annotations

from taskdata.checks.geometry.spike import ONE_CORNER_M
from taskdata.checks.geometry.stray_point import check
from taskdata.phrases import phrase
from taskdata.repairs.geometry.corners import cut_corner
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.stray-point",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.several-exteriors",)


def repair(work: RepairWork) -> None:
    """Drop each point that the audit names, where a sound ring is left."""
    for element, finding in work.found(check):
        reason = phrase(
            "it was {size} m from the others, which lie within {limit} m",
            size=finding.facts["size"],
            limit=finding.facts["limit"],
        )
        cut_corner(work, RULES[0], (element, finding), ONE_CORNER_M, reason)
