"""Swap latitude and longitude of shapes that then lie among the other fields, or agree with the stated areas.

Why it needs a look: lines steer machines; that the shapes belong there is a conclusion from where the others lie, or
from how large they are. A set with points in binary files is left as a whole where all outlines are swapped.
"""

from __future__ import annotations

from taskdata.checks.geometry.swapped_coordinates import ALL, check
from taskdata.phrases import phrase
from taskdata.repairs.geometry.moving import move_lost, swapped, turn_all
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.swapped-coordinates",)
STANDING = Standing.REVIEW
NEEDS = ("field.outline-of-other-type",)


def repair(work: RepairWork) -> None:
    """Swap all points of the shapes that the audit names."""
    for found in work.found(check):
        facts = found[1].facts
        if found[1].rule.message == ALL.message:
            reason = phrase("swapped, all {count} outlines agree with the stated areas", count=facts["count"])
            turn_all(work, RULES[0], swapped, reason)
            return
        reason = phrase(
            "swapped, it lies {value} km from the other fields instead of {size} km",
            value=facts["value"],
            size=facts["size"],
        )
        move_lost(work, RULES[0], found, swapped, reason)
