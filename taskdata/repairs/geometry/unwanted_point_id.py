"""Take the identifiers out of points inside lines.

Why it is safe: nothing refers to them. One that a link names is left: an identity would be lost with it.
"""

from __future__ import annotations

from taskdata.checks.geometry.unwanted_point_id import check
from taskdata.isoxml.facts import elements
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("geometry.unwanted-point-id",)
STANDING = Standing.SAFE
ORDER = 24


def repair(work: Work) -> None:
    """Take out each such identifier that nothing refers to."""
    named = {item.attributes[letter] for item, letter in work.references()}
    for element, _ in work.found(check):
        letter = elements()[element.tag].id_letter
        if letter is not None and element.id not in named:
            work.note(RULES[0], element, element.id, None, "only what stands by itself has an identifier")
            del element.attributes[letter]
            work.touch()
