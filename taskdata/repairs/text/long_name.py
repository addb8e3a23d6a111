"""Shorten names that are longer than the standard allows, so that no two become one.

Why it needs a look: what is cut off may be what tells two fields apart for a person.
"""

from __future__ import annotations

from taskdata.adapt.transliterate import fit_texts
from taskdata.isoxml.facts import elements
from taskdata.isoxml.receivers import designator_letters
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("schema.invalid-value",)
STANDING = Standing.REVIEW
NEEDS = ("name.outside-latin-1",)


def repair(work: RepairWork) -> None:
    """Shorten each name that is too long, to less than the most: a name that just fits looks as if it were cut."""
    owners: dict[tuple[str, str], list[Element]] = {}
    for element in work.document.walk():
        for letter in designator_letters(element.tag):
            if element.attributes.get(letter):
                owners.setdefault((element.tag, letter), []).append(element)
    for (tag, letter), group in owners.items():
        most = elements()[tag].attributes[letter].max_length
        if most is not None:
            _shorten(work, letter, group, most)


def _shorten(work: RepairWork, letter: str, owners: list[Element], most: int) -> None:
    """Shorten the names of one kind of things; equal ones stay equal, others stay apart."""
    long = [element for element in owners if len(element.attributes[letter]) > most]
    given = {element.attributes[letter] for element in owners} - {element.attributes[letter] for element in long}
    names = fit_texts((element.attributes[letter] for element in long), "any", most - 1, given)
    for element in long:
        text = element.attributes[letter]
        work.note(RULES[0], element, text, names[text], phrase("a name may have at most {most} characters", most=most))
        element.attributes[letter] = names[text]
