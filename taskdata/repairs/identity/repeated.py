"""Keep one of several elements that are equal in all they hold.

Why it is safe: the others say nothing that the first does not say. Elements with one identifier and different content
are left: which one is meant cannot be told.
"""

from __future__ import annotations

from taskdata.isoxml.writing.write import element_text
from taskdata.repairs.repair_work import RepairWork, remove
from taskdata.results.cleaning import Standing

RULES = ("identity.repeated-id", "identity.repeated")
STANDING = Standing.SAFE
NEEDS = ("identity.leading-zero",)


def repair(work: RepairWork) -> None:
    """Remove each element that repeats an earlier one of its identifier exactly."""
    first: dict[str, str] = {}
    gone = []
    for element in work.document.walk():
        if element.id is None:
            continue
        if element.id not in first:
            first[element.id] = element_text(element)
        elif first[element.id] == element_text(element):
            gone.append(element)
    for element in gone:
        work.note(RULES[0], element, element.id, None, "the same element already comes before it")
    for element in gone:
        remove(element)
    if gone:
        work.touch()
