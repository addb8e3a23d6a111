"""Write identifiers without leading zeros, and all references to them alike.

Why it is safe: CTR007 and CTR7 are the same number. Where the set has both, nothing is changed.
"""

from __future__ import annotations

import re

from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("identity.leading-zero",)
STANDING = Standing.SAFE
NEEDS = ("schema",)

_PADDED = re.compile(r"([A-Z]{3}-?)0+([0-9]+)", re.ASCII)


def repair(work: RepairWork) -> None:
    """Shorten each padded identifier."""
    identified = [element for file in work.document.xml_files for element in file.root.walk() if element.id]
    taken = {element.id for element in identified}
    renamed: dict[str, str] = {}
    for element in identified:
        found = _PADDED.fullmatch(element.id or "")
        new = None if found is None else f"{found[1]}{found[2]}"
        if new is None or new in taken:
            continue
        taken.add(new)
        work.note(RULES[0], element, element.id, new, phrase("identifiers have no leading zeros"))
        renamed[str(element.id)] = new
        _rename(element, new)
    if renamed:
        for element, letter in work.references():
            element.attributes[letter] = renamed.get(element.attributes[letter], element.attributes[letter])
        work.touch()


def _rename(element: Element, new: str) -> None:
    letter = elements()[element.tag].id_letter
    if letter is not None:
        element.attributes[letter] = new
