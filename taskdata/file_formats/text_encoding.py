"""The bytes of a text file as text: UTF-8, what a byte order mark says, or else a guess."""

from __future__ import annotations

import codecs
from typing import NamedTuple

_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"),  # before UTF-16, whose mark it begins with
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
GUESSES = ("windows-1252", "iso-8859-1")
"""What bytes that are not UTF-8 are taken for, in this order."""
_OF_SOURCE_CODE = ("unicode-escape", "raw-unicode-escape")


def known_encoding(name: str) -> str | None:
    """Return an encoding of texts as Python calls it, None where it knows none of that name.

    What Python calls a codec but is not an encoding of texts is none of them: ``hex``, host names, its own source code.
    """
    try:
        b"\xff".decode(name, "replace")
        known = codecs.lookup(name).name
    except (LookupError, ValueError):
        return None
    return None if known in _OF_SOURCE_CODE else known


class Read(NamedTuple):
    """A text and what its bytes were.

    Parameters
    ----------
    text : str
        Without a byte order mark.
    encoding : str or None
        None for UTF-8, else the encoding that was read.
    guessed : bool
        Nothing in the bytes says so.
    """

    text: str
    encoding: str | None = None
    guessed: bool = False


def read_text(content: bytes) -> Read:
    """Return bytes as text.

    Bytes without a mark that are not UTF-8 are taken as windows-1252, which older programs write, or where they cannot
    be that, as ISO-8859-1.

    Raises
    ------
    ValueError
        A byte order mark promises an encoding that the bytes are not in.
    """
    for mark, encoding in _MARKS:
        if content.startswith(mark):
            try:
                return Read(content.decode(encoding), encoding.upper())
            except UnicodeDecodeError as error:
                raise ValueError(f"it is not {encoding.upper()} from byte {error.start} on, as it says") from None
    content = content.removeprefix(codecs.BOM_UTF8)
    try:
        return Read(content.decode("utf-8"))
    except UnicodeDecodeError:
        first, second = GUESSES
    try:
        return Read(content.decode(first), first, guessed=True)
    except UnicodeDecodeError:
        return Read(content.decode(second), second, guessed=True)
