"""Words of several languages in the names of columns, and what they say of a column."""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from taskdata import resources

CUT = 10
"""Characters of the name of a column in a dBASE table at most (field descriptor of dBASE III): longer ones are cut."""

_FEWEST_LEFT = 3
"""Letters that have to be left of a word that was cut off."""

_LINKS = ("", "s", "n", "en", "es", "e")
"""Letters between the words of a compound, as in German, Dutch and the Scandinavian languages."""

_SPELT = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "å": "aa", "ø": "oe", "æ": "ae", "ß": "ss"})
_LETTERS = str.maketrans({"ß": "ss", "ø": "o", "æ": "ae", "ł": "l", "đ": "d", "\u0131": "i"})


def bare(word: str) -> str:
    """Return a word in small letters without accents."""
    parts = unicodedata.normalize("NFKD", word.casefold())
    return "".join(letter for letter in parts if not unicodedata.combining(letter)).translate(_LETTERS)


def split(name: str) -> list[str]:
    """Return the words of a name, told apart by case, digits and signs, in small letters without accents."""
    whole = unicodedata.normalize("NFC", name)
    spaced = "".join(
        f" {letter}" if letter.isupper() and before.islower() else letter
        for before, letter in zip(f" {whole}", whole, strict=False)
    )
    return [bare(word) for word in re.split(r"[\W\d_]+", spaced) if word]


@cache
def known(table: str, column: str) -> dict[str, str]:
    """Return what each word of a table of words says, by the word without accents, and as it is spelt without them.

    Parameters
    ----------
    table, column : str
        Name of the table, and its column of meanings; the words stand in the column ``word``.
    """
    found: dict[str, str] = {}
    for row in resources.table(table):
        for word in (bare(row["word"]), bare(row["word"].casefold().translate(_SPELT))):
            found.setdefault(word, row[column])
    return found


def meanings(name: str) -> list[str]:
    """Return what the words in the name of a column say, in their order: roles of `column_words.csv`.

    The last word of a name of ten characters may be cut off.
    """
    words = split(name)
    found: list[str] = []
    for at, word in enumerate(words):
        found += _of_word(word, cut=len(name) == CUT and at == len(words) - 1)
    return found


@cache
def _of_word(word: str, *, cut: bool) -> tuple[str, ...]:
    table = known("column_words", "role")
    if word in table:
        return (table[word],)
    if cut and len(word) >= _FEWEST_LEFT and (role := _of_start(word)) is not None:
        return (role,)
    for end in range(len(word) - _FEWEST_LEFT, 2, -1):
        first = table.get(word[:end])
        if first is None:
            continue
        for link in _LINKS:
            rest = word[end:]
            if rest.startswith(link) and (second := _of_rest(rest[len(link) :], cut=cut)) is not None:
                return (first, second)
    if cut and (begun := next((table[word[:end]] for end in range(len(word), 3, -1) if word[:end] in table), None)):
        return (begun,)
    ends = [start for start in range(1, len(word) - _FEWEST_LEFT) if table.get(word[start:]) == "name"]
    return ("name",) if ends else ()


def _of_rest(word: str, *, cut: bool) -> str | None:
    if len(word) < _FEWEST_LEFT:
        return None
    return known("column_words", "role").get(word) or (_of_start(word) if cut else None)


def _of_start(word: str) -> str | None:
    """Return what the words that begin so say, None where they say different things or there is none."""
    found = {role for full, role in known("column_words", "role").items() if full.startswith(word)}
    return found.pop() if len(found) == 1 else None
