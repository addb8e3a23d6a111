"""Write names without characters that nobody sees, and with Latin letters where a look-alike slipped in.

Why it needs a look: names are matched by their characters elsewhere. Names in other letters are left: they are right.
"""

from __future__ import annotations

import unicodedata

from taskdata.checks.name._looks import CYRILLIC, GREEK
from taskdata.checks.name.outside_latin_1 import check
from taskdata.isoxml.receivers import designator_letters
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("name.outside-latin-1",)
STANDING = Standing.REVIEW
ORDER = 31

LATIN = {**CYRILLIC, **GREEK}
SIGNS = {"\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2212": "-", "\u2019": "'"}
BLANKS, UNSEEN = {"Zs", "Zl", "Zp"}, {"Cc", "Cf"}
LAST = 0xFF


def repair(work: Work) -> None:
    """Write each name plainly that the audit names, unless nothing would be left of it."""
    for element, _ in work.found(check):
        for letter in designator_letters(element.tag):
            text = element.attributes.get(letter, "")
            plain = plainly(text)
            if plain and plain != text:
                work.note(
                    RULES[0], element, text, plain, "characters that are not seen, or are not what they look like"
                )
                element.attributes[letter] = plain


def plainly(text: str) -> str:
    """Return a name without unseen characters; single letters of another alphabet among Latin ones become Latin."""
    written = "".join(_plain(character) for character in text)
    if not any(character in LATIN for character in written):
        return written
    words = []
    for word in written.split(" "):
        foreign = [character for character in word if character.isalpha() and ord(character) > LAST]
        latin = any(character.isalpha() and ord(character) <= LAST for character in word)
        mend = latin and all(character in LATIN for character in foreign)
        words.append("".join(LATIN.get(character, character) for character in word) if mend else word)
    return " ".join(words)


def _plain(character: str) -> str:
    if character in SIGNS:
        return SIGNS[character]
    category = unicodedata.category(character)
    if category == "Cc" and character in "\t\n\r":
        return " "
    if category in UNSEEN and (ord(character) > LAST or category == "Cc"):
        return ""
    return " " if category in BLANKS and ord(character) > LAST else character
