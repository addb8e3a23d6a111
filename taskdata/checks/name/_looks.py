"""What a name looks like at a glance: capitals, blanks and look-alike characters made one.

The table is small and from memory: letters of the Greek and Cyrillic alphabets that are drawn like Latin ones, 0 and O,
1, I, l and |. Unicode's own list of confusable characters (Technical Standard 39) is far longer.
"""

from __future__ import annotations

import unicodedata

from taskdata.visible import DIRECTIONS

CYRILLIC = dict(zip("АВЕЗІЈКМНОРСТУХЅабвеіјкмнорстухѕ", "ABE3IJKMHOPCTYXSabbeijkmhopctyxs", strict=True))
GREEK = dict(zip("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧαικνορτυχ", "ABEZHIKMNOPTYXaiknoptyx", strict=True))
SIGNS = {"0": "O", "1": "l", "|": "l", "\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2212": "-", "\u2019": "'"}
LOOKS = str.maketrans({**CYRILLIC, **GREEK, **SIGNS})
INVISIBLE = {"Cf", "Cc", "Zs", "Zl", "Zp"}
"""Unicode categories of blanks, controls and marks that are not drawn."""


JOINERS = "\u200c\u200d"
WIDE_BLANK = "\u3000"
"""The blank of East Asian writing."""
LAST_PLAIN = 0x24F
"""Last letter of the Latin alphabet with its marks (Unicode, Latin Extended-B)."""


def unseen(name: str) -> set[str]:
    """Return the characters of a name that are not drawn, or look like a blank and are another one."""
    found = {item for item in name if item != " " and unicodedata.category(item) in INVISIBLE}
    if not found:
        return found
    if any(unicodedata.bidirectional(item) in {"R", "AL"} for item in name):
        found -= set(DIRECTIONS)
    if any(ord(item) > LAST_PLAIN and item not in found for item in name):
        found -= {*JOINERS, WIDE_BLANK}
    return found


def is_blank(character: str) -> bool:
    """Tell whether a character is drawn as a blank."""
    return character in "\t\n\r" or unicodedata.category(character) in {"Zs", "Zl", "Zp"}


def looks(name: str) -> str:
    """Return a text that is the same for names that look the same."""
    plain = unicodedata.normalize("NFKC", name)
    drawn = "".join(character for character in plain if unicodedata.category(character) not in INVISIBLE)
    return drawn.translate(LOOKS).casefold().replace("i", "l")
