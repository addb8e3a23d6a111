"""Shorten names that are longer than the standard allows, so that no two become one.

Why it needs a look: what is cut off may be what tells two fields apart for a person.
"""

from __future__ import annotations

from taskdata.isoxml.facts import elements
from taskdata.isoxml.receivers import designator_letters
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("schema.invalid-value",)
STANDING = Standing.REVIEW
ORDER = 32


def repair(work: Work) -> None:
    """Shorten each name that is too long."""
    taken: dict[tuple[str, str], set[str]] = {}
    for element in work.document.walk():
        for letter in designator_letters(element.tag):
            taken.setdefault((element.tag, letter), set()).add(element.attributes.get(letter, ""))
    for element in work.document.walk():
        for letter in designator_letters(element.tag):
            text = element.attributes.get(letter, "")
            most = elements()[element.tag].attributes[letter].max_length
            if most is None or len(text) <= most:
                continue
            short = shortened(text, most, taken[element.tag, letter])
            taken[element.tag, letter].add(short)
            work.note(RULES[0], element, text, short, f"a name has at most {most} characters")
            element.attributes[letter] = short


def shortened(text: str, most: int, taken: set[str]) -> str:
    """Return ``text`` cut to ``most`` characters, with a number at its end where that name is taken."""
    short = text[:most].rstrip()
    number = 2
    while short in taken:
        tail = f" {number}"
        short = f"{text[: most - len(tail)].rstrip()}{tail}"
        number += 1
    return short
