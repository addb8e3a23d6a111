"""Names in the letters that a terminal shows, and in its length, so that no two become alike."""

from __future__ import annotations

import unicodedata
from collections.abc import Collection, Iterable

from taskdata.amounts import counted

LAST = {"ascii": 127, "latin-1": 255}
"""Last code point of each character set of a profile."""

_SPELLED = str.maketrans(
    {
        **dict.fromkeys("äæ", "ae"),
        **dict.fromkeys("ÄÆ", "Ae"),
        **dict.fromkeys("öøœ", "oe"),
        **dict.fromkeys("ÖØŒ", "Oe"),
        **dict.fromkeys("ðđ", "d"),
        **dict.fromkeys("ÐĐ", "D"),
        "ü": "ue",
        "Ü": "Ue",
        "å": "aa",
        "Å": "Aa",
        "ß": "ss",
        "\u1e9e": "SS",
        "þ": "th",
        "Þ": "Th",
        "ł": "l",
        "Ł": "L",
        "\u0131": "i",
        "€": "EUR",
        "µ": "u",
        "½": "1/2",
        "¼": "1/4",
        "\u00d7": "x",
        **dict.fromkeys("\u2010\u2011\u2013\u2014\u2212", "-"),
        **dict.fromkeys("\u2018\u2019\u201a", "'"),
        **dict.fromkeys("\u201c\u201d\u201e", '"'),
        **dict.fromkeys("\u00a0\u2009\u202f", " "),
        **dict.fromkeys("°", " deg"),
    }
)


def transliterate(text: str, characters: str) -> str:
    """Return a text in the letters of a character set: spelled out, without its marks, else with question marks.

    Parameters
    ----------
    text : str
        Any text.
    characters : str
        ``ascii``, ``latin-1`` or ``any``.
    """
    last = LAST.get(characters)
    if last is None or all(ord(letter) <= last for letter in text):
        return text
    return "".join(
        letter if ord(letter) <= last else _one(letter, last) for letter in unicodedata.normalize("NFC", text)
    )


def _one(letter: str, last: int) -> str:
    bare = unicodedata.normalize("NFKD", letter.translate(_SPELLED))
    kept = "".join(sign for sign in bare if not unicodedata.combining(sign))
    return "".join(sign if ord(sign) <= last else "?" for sign in kept)


def fit_texts(
    texts: Iterable[str], characters: str, longest: int | None, given: Collection[str] = ()
) -> dict[str, str]:
    """Return for each text one in the letters and length wanted; different texts stay different.

    Parameters
    ----------
    texts : iterable of str
        Texts that people tell things apart by.
    characters : str
        See ``transliterate``.
    longest : int or None
        Most characters; None = no limit. With fewer than about three, different texts may run out of room.
    given : collection of str
        Texts that stay as they are, and that no other may become.

    Raises
    ------
    ValueError
        There is no room to keep them apart.
    """
    if longest == 0 and any(texts := list(texts)):
        raise ValueError("a name needs at least one character")
    wanted = {text: _cut(transliterate(text, characters), longest) for text in dict.fromkeys(texts)}
    taken = {*given, *(text for text, short in wanted.items() if text == short)}
    for text, short in wanted.items():
        if text == short:
            continue
        wanted[text] = _numbered(transliterate(text, characters), taken, longest) if short in taken else short
        taken.add(wanted[text])
    return wanted


def _numbered(text: str, taken: set[str], longest: int | None) -> str:
    """Return a text that ends in a number and is not taken."""
    number, short = 1, text
    while number == 1 or short in taken:
        number += 1
        end = f" {number}"
        if longest is not None and len(end) > longest:
            raise ValueError(f"{len(taken) + 1} names do not fit in {counted(longest, 'character')}")
        short = (_cut(text, None if longest is None else longest - len(end)) + end).strip()
    return short


def _cut(text: str, longest: int | None) -> str:
    """Return a text cut to whole words, or within the last one where that would cost more than a third."""
    if longest is None or len(text) <= longest:
        return text
    text = text.strip()
    words = text[: longest + 1].rpartition(" ")[0].rstrip()
    return words if 3 * len(words) >= 2 * longest else text[:longest].rstrip()
