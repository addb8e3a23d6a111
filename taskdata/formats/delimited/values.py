"""The texts of a column as numbers, times or texts: what all of them can be, found in one pass and made in another."""

from __future__ import annotations

from dataclasses import field

import pyarrow as pa
import pyarrow.compute as pc

from taskdata.dataclass import dataclass
from taskdata.file_formats.delimited.numbers import BETWEEN_THOUSANDS, NOTATIONS, Notation
from taskdata.formats.delimited.formulas import unguarded

_INTEGER = r"^\s*[+-]?\d{1,18}\s*$"
_CODE = r"^\s*0\d"
_TIME = r"^\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d{1,9})?)?$"
_EITHER = r"^\s*[+-]?\d{1,3}[.,]\d{3}\s*$"


@dataclass
class Kind:
    """What the texts of one column can still be, while they are looked at.

    Parameters
    ----------
    notations : list of Notation
        How its numbers may be written.
    integer, time : bool
        Whether every text is a whole number, or a time as ISO 8601 has it.
    code : bool
        A text begins with 0 and another digit, as a code does.
    either : bool
        Every number is like ``1,234``, so that its sign may stand before decimals or between thousands.
    filled : int
        How many texts there are.
    """

    notations: list[Notation] = field(default_factory=lambda: list(NOTATIONS))
    integer: bool = True
    time: bool = True
    code: bool = False
    either: bool = True
    filled: int = 0

    def look(self, texts: pa.Array) -> None:
        """Take further texts into account."""
        filled = texts.drop_null()
        if not len(filled):
            return
        self.filled += len(filled)
        self.notations = [item for item in self.notations if _all(filled, item.value)]
        self.integer = self.integer and _all(filled, _INTEGER)
        self.time = self.time and _all(filled, _TIME) and _are_times(filled)
        self.code = self.code or bool(pc.any(pc.match_substring_regex(filled, _CODE)).as_py())
        self.either = self.either and _all(filled, _EITHER)

    def notation(self, *, comma: bool | None) -> Notation | None:
        """Return how the numbers of the column are written, None where it holds something else."""
        if not self.filled or self.code or self.time:
            return None
        agreeing = [item for item in self.notations if comma is None or item.comma is comma]
        return next(iter(agreeing or self.notations), None)


def made(texts: pa.Array, kind: Kind, *, comma: bool | None) -> pa.Array:
    """Return texts as integers, numbers, times, or as they are; blank ones are null."""
    notation = kind.notation(comma=comma)
    if notation is None:
        return _times(texts) if kind.time and kind.filled else unguarded(texts)
    plain = pc.utf8_trim_whitespace(texts)
    if kind.integer:
        return pc.replace_substring_regex(plain, r"^\+", "").cast(pa.int64())
    return plain_numbers(plain, notation).cast(pa.float64())


def _times(texts: pa.Array) -> pa.Array:
    """Return texts as times in milliseconds; further decimals are cut off."""
    return pc.replace_substring_regex(texts, r"(\.\d{3})\d+$", r"\1").cast(pa.timestamp("ms"))


def _are_times(texts: pa.Array) -> bool:
    """Return whether texts that look like times name days and hours that exist."""
    try:
        _times(texts)
    except pa.ArrowInvalid:
        return False
    return True


def plain_numbers(texts: pa.Array, notation: Notation) -> pa.Array:
    """Return numbers as texts with a decimal point and nothing between thousands."""
    if notation.grouped:
        mark = "," if notation.comma else "."
        whole = pc.replace_substring_regex(texts, f"[{mark}]\\d*$", "")
        decimals = pc.replace_substring_regex(texts, f"^[^{mark}]*[{mark}]?", "")
        digits = pc.replace_substring_regex(whole, BETWEEN_THOUSANDS, "")
        texts = pc.binary_join_element_wise(digits, decimals, ".")
    elif notation.comma:
        texts = pc.replace_substring(texts, ",", ".")
    return pc.replace_substring_regex(texts, r"^\+", "")


def _all(texts: pa.Array, pattern: str) -> bool:
    return bool(pc.all(pc.match_substring_regex(texts, pattern)).as_py())
