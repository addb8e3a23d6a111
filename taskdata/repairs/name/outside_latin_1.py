"""Write names with Latin letters where a look-alike slipped in, and with plain dashes and apostrophes.

Why it needs a look: names are matched by their characters elsewhere. Names in other letters are left: they are right.
"""

from __future__ import annotations

from taskdata.checks.name._looks import CYRILLIC, GREEK
from taskdata.checks.name.outside_latin_1 import check
from taskdata.phrases import phrase
from taskdata.repairs.name.writing import write
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("name.outside-latin-1",)
STANDING = Standing.REVIEW
NEEDS = ("name.invisible-character",)

LATIN = {**CYRILLIC, **GREEK}
SIGNS = {"\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2212": "-", "\u2019": "'"}
LAST = 0xFF


def repair(work: RepairWork) -> None:
    """Write each name plainly that the audit names."""
    write(work, RULES[0], check, plainly, phrase("characters that are not what they look like"))


def plainly(text: str) -> str:
    """Return a name with plain signs; single letters of another alphabet among Latin ones become Latin."""
    written = "".join(SIGNS.get(character, character) for character in text)
    if not any(character in LATIN for character in written):
        return written
    words = []
    for word in written.split(" "):
        foreign = [character for character in word if character.isalpha() and ord(character) > LAST]
        latin = any(character.isalpha() and ord(character) <= LAST for character in word)
        mend = latin and all(character in LATIN for character in foreign)
        words.append("".join(LATIN.get(character, character) for character in word) if mend else word)
    return " ".join(words)
