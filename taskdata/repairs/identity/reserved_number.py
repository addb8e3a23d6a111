"""Give elements with a reserved number (0, -2147483648) a free one, and all references to them alike.

Why it is safe: an identifier means nothing but itself.
"""

from __future__ import annotations

import re

from taskdata.isoxml.facts import elements
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("identity.reserved-number",)
STANDING = Standing.SAFE
NEEDS = ("identity.repeated-id",)

_RESERVED = re.compile(r"[A-Z]{3}(-?0+|-2147483648)", re.ASCII)


def repair(work: RepairWork) -> None:
    """Renumber each such element that stands once in the set."""
    counts: dict[str, int] = {}
    for element in work.document.walk():
        if element.id is not None:
            counts[element.id] = counts.get(element.id, 0) + 1
    for old, times in counts.items():
        if times > 1 or not _RESERVED.fullmatch(old):
            continue
        element = work.document.by_id[old]
        letter, new = elements()[element.tag].id_letter, work.free_id(element.tag)
        if letter is not None:
            work.note(RULES[0], element, old, new, phrase("the number is reserved"))
            element.attributes[letter] = new
            work.renumber(old, new)
            work.touch()
