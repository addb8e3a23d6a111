"""Names written otherwise: nothing becomes empty, and nothing gets the name of another thing of its kind."""

from __future__ import annotations

from collections.abc import Callable

from taskdata.checks.registry import Check
from taskdata.isoxml.receivers import designator_letters, designators
from taskdata.isoxml.tree.element import Element
from taskdata.repairs.repair_work import RepairWork


def write(work: RepairWork, rule: str, check: Check, change: Callable[[str], str], reason: str) -> None:
    """Write the names of the elements that a rule names as ``change`` says.

    Left are names of which nothing would be left, and those that another element of the same tag has: whether the two
    are one thing has to be seen first (name.look-alike).
    """
    taken: dict[str, list[list[str]]] = {}
    for element, _ in work.found(check):
        if element.tag not in taken:
            taken[element.tag] = [designators(item) for item in work.tagged(element.tag)]
        names = designators(element)
        wanted = [change(name) for name in names]
        if not all(wanted) or wanted == names or wanted in taken[element.tag]:
            continue
        taken[element.tag].append(wanted)
        _put(work, rule, element, change, reason)


def _put(work: RepairWork, rule: str, element: Element, change: Callable[[str], str], reason: str) -> None:
    for letter in designator_letters(element.tag):
        text = element.attributes.get(letter)
        if text and change(text) != text:
            work.note(rule, element, text, change(text), reason)
            element.attributes[letter] = change(text)
