"""In which encoding texts are, by what a file states and by how they look.

A file may state the wrong encoding (a ``.cpg`` that was copied along, the language driver byte of a dBASE table). That
leaves marks: bytes that are none in it, texts that are UTF-8 as well, or signs in the middle of words, such as in
``S„ger`` and ``Gro▀e``. Where every text becomes words in another encoding, they are in that.
"""

from __future__ import annotations

import codecs
import unicodedata
from collections.abc import Callable, Iterator
from itertools import islice, pairwise
from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc

from taskdata import resources
from taskdata.dataclass import dataclass
from taskdata.file_formats.text_encoding import known_encoding
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.spooling import a_few

UTF_8 = "utf-8"
BYTES = "ISO-8859-1"
"""The encoding in which each byte is the letter of its number, so that nothing is lost on the way."""

_CANDIDATES = ("cp1252", "cp850", "cp1250", "cp852", "cp1251", "cp866", "mac-roman")
"""Encodings that old programs write, the likeliest first (common practice)."""

_LAST_RESORT = "cp1252"
_MOST = 1_000
_NON_ASCII = "[^\\x00-\\x7f]"
_AMONG_LETTERS = frozenset("'\u2019\u00b7.-")
_LANGUAGE = 29
"""Position of the language driver in the head of a dBASE table (dBASE IV, table file header)."""


@dataclass(frozen=True, slots=True)
class Letters:
    """The encoding of texts, and whether it is a guess beside what is stated."""

    encoding: str
    guessed: bool


def stated(path: Path) -> str | None:
    """Return the encoding that the files beside a shapefile state, the ``.cpg`` first; None where they state none."""
    beside = {item.suffix.lower(): item for item in path.parent.iterdir() if item.stem.lower() == path.stem.lower()}
    if ".cpg" in beside:
        return _known(beside[".cpg"].read_text(encoding="ascii", errors="replace"))
    if ".dbf" not in beside:
        return None
    with beside[".dbf"].open("rb") as file:
        head = file.read(_LANGUAGE + 1)
    drivers = {int(row["driver"], 16): row["encoding"] for row in resources.table("dbf_languages")}
    return drivers.get(head[_LANGUAGE]) if len(head) > _LANGUAGE else None


def _known(text: str) -> str | None:
    """Return an encoding as Python calls it, None for one that it does not know."""
    plain = text.strip().upper().replace("ANSI ", "").replace("OEM ", "").replace("WINDOWS-", "")
    plain = plain.replace("88591", "ISO-8859-1") if plain.startswith("8859") else plain
    for name in (f"cp{plain}" if plain.isdigit() else plain, plain):
        if (known := known_encoding(name)) is not None:
            return known
    return None


def letters_of(table: pa.Table, said: str | None) -> Letters:
    """Return the encoding of the names and texts of a table that were read as `BYTES`.

    Parameters
    ----------
    said : str or None
        What the file states.
    """
    texts = list(non_ascii(table))
    wanted = said or UTF_8
    if all(_is_words(text, UTF_8) for text in texts):
        return Letters(UTF_8, guessed=bool(texts) and wanted != UTF_8)
    for encoding in (wanted, *_CANDIDATES):
        if all(_is_words(text, encoding) for text in texts):
            return Letters(encoding, guessed=encoding != wanted)
    if said is not None and all(read_as(text, said) is not None for text in texts):
        return Letters(said, guessed=False)
    return Letters(_LAST_RESORT, guessed=True)


def read_as(text: str, encoding: str, back: str = BYTES) -> str | None:
    """Return a text in another encoding of its bytes, None where they are none in it.

    A letter that is cut off at the end is left out.

    Parameters
    ----------
    back : str
        The encoding in which it was read.
    """
    try:
        return codecs.getincrementaldecoder(encoding)().decode(text.encode(back), final=False)
    except UnicodeError:
        return None


def non_ascii(table: pa.Table) -> Iterator[str]:
    """Yield the names of columns and the different texts with letters beyond ASCII, up to a number of each column."""
    names: list[str] = table.column_names
    yield from (name for name in names if not name.isascii())
    for name in names:
        if name != GEOMETRY and _is_text(table[name].type):
            yield from islice(_beyond_ascii(table[name]), _MOST)


def _beyond_ascii(column: pa.ChunkedArray) -> Iterator[str]:
    seen = set[str]()
    for chunk in a_few(column.chunks):
        beyond = chunk.filter(pc.fill_null(pc.match_substring_regex(chunk, _NON_ASCII), False))
        new = [text for text in pc.unique(beyond).to_pylist() if text not in seen]
        seen.update(new)
        yield from new


def respelt(table: pa.Table, change: Callable[[str], str | None]) -> pa.Table | None:
    """Return a table with its names and texts changed, None where one of them becomes none."""
    names, arrays = [], []
    for name in table.column_names:
        column = table[name]
        names.append(change(name))
        if name != GEOMETRY and _is_text(column.type):
            texts = column.to_pylist()
            found = [None if text is None else text if text.isascii() else change(text) for text in texts]
            if any(now is None and text is not None for now, text in zip(found, texts, strict=True)):
                return None
            column = pa.chunked_array([pa.array(found, pa.string())])
        arrays.append(column)
    return None if None in names else pa.table(arrays, names=names)


def decoded(table: pa.Table, encoding: str) -> pa.Table:
    """Return a table that was read as `BYTES` in an encoding; bytes that are nothing in it become a mark of that."""

    def change(text: str) -> str:
        found = read_as(text, encoding)
        return text.encode(BYTES).decode(encoding, errors="replace") if found is None else found

    return respelt(table, change)


def is_words(text: str) -> bool:
    """Tell whether what is beyond ASCII looks like words: letters, and signs that are not in the middle of words."""
    for at, sign in enumerate(text):
        if sign.isascii() or unicodedata.category(sign)[0] in "LM" or sign in _AMONG_LETTERS:
            continue
        before, after = text[at - 1 : at], text[at + 1 : at + 2]
        odd = unicodedata.category(sign) in ("Cc", "Cf", "Co", "Cn", "So")
        if odd or (before.isalpha() and after.isalpha()):
            return False
    return not any(low.islower() and high.isupper() and not high.isascii() for low, high in pairwise(text))


def _is_words(text: str, encoding: str) -> bool:
    found = read_as(text, encoding)
    return found is not None and is_words(found)


def _is_text(kind: pa.DataType) -> bool:
    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind))
