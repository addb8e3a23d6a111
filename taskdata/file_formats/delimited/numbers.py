"""How the numbers of a column are written: with a decimal point or comma, with or without signs between thousands."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from enum import Enum

_EXPONENT = r"([eE][+-]?\d+)?"
_BLANK = "\u00a0\u202f "


class Notation(Enum):
    """A way to write numbers; the value is the pattern of a whole text, in a syntax that `re` and RE2 share."""

    POINT = rf"^\s*[+-]?(\d+(\.\d*)?|\.\d+){_EXPONENT}\s*$"
    COMMA = rf"^\s*[+-]?(\d+(,\d*)?|,\d+){_EXPONENT}\s*$"
    POINT_GROUPED = rf"^\s*[+-]?(\d{{1,3}}([,'{_BLANK}]\d{{3}})+|\d+)(\.\d*)?\s*$"
    COMMA_GROUPED = rf"^\s*[+-]?(\d{{1,3}}([.'{_BLANK}]\d{{3}})+|\d+)(,\d*)?\s*$"

    @property
    def comma(self) -> bool:
        """Whether a comma stands before the decimals."""
        return self in {Notation.COMMA, Notation.COMMA_GROUPED}

    @property
    def grouped(self) -> bool:
        """Whether signs may stand between thousands."""
        return self in {Notation.POINT_GROUPED, Notation.COMMA_GROUPED}


NOTATIONS = tuple(Notation)
"""The notations, the plainest first: the first that fits every text of a column is meant."""

BETWEEN_THOUSANDS = f"[.,'{_BLANK}]"
"""What may stand between thousands, as a pattern."""

_PATTERNS = {notation: re.compile(notation.value) for notation in NOTATIONS}
_EITHER = re.compile(r"^\s*[+-]?\d{1,3}[.,]\d{3}\s*$")
_CODE = re.compile(r"^\s*0\d")


def notation_of(texts: Iterable[str], *, comma: bool | None = None) -> Notation | None:
    """Return how the numbers among texts are written, None where a text is no number or there is none.

    Blank texts do not count. A text such as ``007`` is a code and no number.

    Parameters
    ----------
    comma : bool, optional
        Whether the rest of the file writes a comma before decimals; it settles texts such as ``1,234``, which may be
        either. Not given, a sign between one to three and three digits stands before decimals.
    """
    filled = [text for text in texts if text.strip()]
    if not filled or any(_CODE.match(text) for text in filled):
        return None
    fitting = [notation for notation in NOTATIONS if all(_PATTERNS[notation].match(text) for text in filled)]
    agreeing = [notation for notation in fitting if comma is None or notation.comma is comma]
    return next(iter(agreeing or fitting), None)


def shows_decimal_comma(texts: Sequence[str]) -> bool | None:
    """Return whether texts show that decimals follow a comma, None where they leave it open.

    Only a text that can be read in one way shows it: ``1,5`` and ``1.234,5`` do, ``1,234`` and ``15`` do not.
    """
    filled = [text for text in texts if text.strip()]
    sure = [text for text in filled if not _EITHER.match(text) and ("," in text or "." in text)]
    notation = notation_of(filled) if sure else None
    return None if notation is None else notation.comma


def number(text: str, notation: Notation) -> float:
    """Return the number that a text is.

    Raises
    ------
    ValueError
        It is not written so.
    """
    if not _PATTERNS[notation].match(text):
        raise ValueError(f"{text!r} is not a number")
    plain = text.strip()
    if notation.grouped:
        whole, mark, decimals = plain.rpartition("," if notation.comma else ".")
        digits, rest = (whole, decimals) if mark else (plain, "")
        plain = f"{re.sub(BETWEEN_THOUSANDS, '', digits)}.{rest}"
    return float(plain.replace(",", ".") if notation.comma else plain)
