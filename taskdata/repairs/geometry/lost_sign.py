"""Give latitude or longitude the other sign where the shapes then lie among the other fields.

Why it needs a look: lines steer machines; that the shapes belong there is a conclusion from where the others lie.
"""

from __future__ import annotations

from functools import partial

from taskdata.checks.geometry.lost_sign import SIGNS, check
from taskdata.phrases import phrase
from taskdata.repairs.geometry.moving import mirrored, move_lost
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.lost-sign",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.swapped-coordinates",)


def repair(work: RepairWork) -> None:
    """Mirror all points of the shapes that the audit names."""
    for found in work.found(check):
        facts = found[1].facts
        lon, lat = SIGNS[str(facts["what"])]
        reason = phrase(
            "with the other sign of {what} it lies {value} km from the other fields",
            what=facts["what"],
            value=facts["value"],
        )
        move_lost(work, RULES[0], found, partial(mirrored, lon=lon < 0, lat=lat < 0), reason)
