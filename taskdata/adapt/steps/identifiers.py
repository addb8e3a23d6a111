"""Identifiers with the number 0 are renumbered."""

from __future__ import annotations

import re

from taskdata.adapt.adaptation import Adaptation
from taskdata.isoxml.facts import elements
from taskdata.phrases import phrase

_ZERO = re.compile(r"[A-Z]{3}-?0+", re.ASCII)


def renumber_zero(work: Adaptation) -> None:
    """Give elements whose identifier has the number 0, legal in version 2, a free one, with all references (R-265)."""
    renamed: dict[str, str] = {}
    for element in work.document.walk():
        old = element.id
        key = elements()[element.tag].id_letter if old is not None else None
        if old is None or key is None or not _ZERO.fullmatch(old):
            continue
        new = work.free_id(element.tag)
        work.alter(
            element, phrase("identifier {old} becomes {new}", old=old, new=new), phrase("the number 0 is reserved")
        )
        element.attributes[key] = new
        renamed.setdefault(old, new)
    if renamed:
        _follow(work, renamed)


def _follow(work: Adaptation, renamed: dict[str, str]) -> None:
    for element in work.described():
        for fact, text in element.references():
            if text in renamed:
                element.attributes[fact.letter] = renamed[text]
