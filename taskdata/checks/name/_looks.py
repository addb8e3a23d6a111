"""What a name looks like at a glance: capitals, blanks and look-alike characters made one.

The table is small and from memory: letters of the Greek and Cyrillic alphabets that are drawn like Latin ones, 0 and O,
1, I, l and |. Unicode's own list of confusable characters (Technical Standard 39) is far longer.
"""

from __future__ import annotations

import unicodedata

CYRILLIC = dict(zip("АВЕЗІЈКМНОРСТУХЅабвеіјкмнорстухѕ", "ABE3IJKMHOPCTYXSabbeijkmhopctyxs", strict=True))
GREEK = dict(zip("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧαικνορτυχ", "ABEZHIKMNOPTYXaiknoptyx", strict=True))
SIGNS = {"0": "O", "1": "l", "|": "l", "\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2212": "-", "\u2019": "'"}
LOOKS = str.maketrans({**CYRILLIC, **GREEK, **SIGNS})
INVISIBLE = {"Cf", "Cc", "Zs", "Zl", "Zp"}
"""Unicode categories of blanks, controls and marks that are not drawn."""


def looks(name: str) -> str:
    """Return a text that is the same for names that look the same."""
    plain = unicodedata.normalize("NFKC", name)
    drawn = "".join(character for character in plain if unicodedata.category(character) not in INVISIBLE)
    return drawn.translate(LOOKS).casefold().replace("i", "l")
