"""Leave out the point to which a ring runs out and back.

Why it needs a look: a field may really end in such a wedge.
"""

from __future__ import annotations

from taskdata.checks.geometry.spike import ONE_CORNER_M, check
from taskdata.phrases import phrase
from taskdata.repairs.geometry.corners import cut_corner
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.spike",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.self-crossing",)


def repair(work: RepairWork) -> None:
    """Drop the tip of each spike that the audit names, where a sound ring is left."""
    for element, finding in work.found(check):
        north_east = (
            f"{finding.place.location[1]:.7f}, {finding.place.location[0]:.7f}" if finding.place.location else ""
        )
        reason = phrase(
            "the ring ran {size} m out and back at {north_east}", size=finding.facts["size"], north_east=north_east
        )
        cut_corner(work, RULES[0], (element, finding), ONE_CORNER_M, reason)
