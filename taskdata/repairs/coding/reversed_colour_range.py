"""Exchange the ends of colour ranges that end before they begin.

Why it needs a look: one of the ends may be mistyped rather than in the wrong place.
"""

from __future__ import annotations

from taskdata.checks.coding.reversed_colour_range import check
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("coding.reversed-colour-range",)
STANDING = Standing.REVIEW
NEEDS = ("schema.other-notation",)


def repair(work: RepairWork) -> None:
    """Exchange both ends of each such range."""
    for element, _ in work.found(check):
        low, high = element.get("MinimumValue"), element.get("MaximumValue")
        work.note(
            RULES[0], element, f"{low} to {high}", f"{high} to {low}", phrase("the range contains no value as it is")
        )
        element.set("MinimumValue", high)
        element.set("MaximumValue", low)
