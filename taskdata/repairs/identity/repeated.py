"""Keep one of several elements that are equal in all they hold.

Why it is safe: the others say nothing that the first does not say. Elements with one identifier and different content
are left: which one is meant cannot be told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.writing.write import element_text
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("identity.repeated-id", "identity.repeated")
STANDING = Standing.SAFE
NEEDS = ("identity.leading-zero",)


def repair(work: RepairWork) -> None:
    """Remove each element that repeats an earlier one of its identifier exactly."""
    alike: dict[str, list[Element]] = {}
    for element in work.document.walk():
        if (name := element.id) is not None:
            alike.setdefault(name, []).append(element)
    gone = {later for first, *others in alike.values() for later in _equal(first, others)}
    for element in work.document.walk():
        if element in gone:
            work.note(RULES[0], element, element.id, None, phrase("the same element already comes before it"))
    for parent in {element.parent for element in gone}:
        if parent is not None:
            parent.children = [child for child in parent.children if child not in gone]
    if gone:
        work.touch()


def _equal(first: Element, others: Sequence[Element]) -> Iterator[Element]:
    """Yield those of several elements that are equal to the first in all they hold."""
    if others:
        text = element_text(first)
        yield from (element for element in others if element_text(element) == text)
