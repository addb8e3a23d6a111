"""The values of a column as numbers and texts, and what they may be."""

from __future__ import annotations

import re

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from taskdata.results.survey import ColumnRole

_NUMBER = r"^\s*[-+]?\d+(?:[.,]\d+)?"
_ON_OFF = frozenset(
    {"0", "1", "on", "off", "true", "false", "yes", "no", "an", "aus", "ja", "nein", "nee", "oui", "non", "si", "sí"}
    | {"up", "down", "0.0", "1.0"}
)
_IDENTIFIER = re.compile(r"[A-Z]{3}-?\d+")
"""Identifiers of the standard, such as CTR1 (ISO 11783-10 annex D), which refer to a set and name nothing."""

_NEARLY = 0.9
RANGED = {
    ColumnRole.WIDTH: (0.05, 200.0),
    ColumnRole.HEADING: (-180.0, 360.0),
    ColumnRole.SPEED: (0.0, 40.0),
    ColumnRole.RATE: (0.0, np.inf),
}
"""Metres, degrees, metres a second: what a width of work, a heading and the speed of a vehicle may be (common
practice); a rate is not negative."""


def is_number(kind: pa.DataType) -> bool:
    """Tell whether a column is of numbers."""
    return bool(pa.types.is_integer(kind) or pa.types.is_floating(kind) or pa.types.is_decimal(kind))


def is_text(kind: pa.DataType) -> bool:
    """Tell whether a column is of texts."""
    return bool(pa.types.is_string(kind) or pa.types.is_large_string(kind))


def numbers(column: pa.ChunkedArray) -> NDArray[np.float64]:
    """Return a column as numbers, NaN where a row has none; of a text such as ``12,5 m`` the number it begins with."""
    if is_number(column.type) or pa.types.is_boolean(column.type):
        whole = column.cast(pa.int8()) if pa.types.is_boolean(column.type) else column
        return np.asarray(whole.cast(pa.float64(), safe=False).to_numpy(), dtype=np.float64)
    if not is_text(column.type):
        return np.full(len(column), np.nan)
    texts = column.cast(pa.string())
    begins = pc.fill_null(pc.match_substring_regex(texts, _NUMBER), False)
    found = pc.struct_field(pc.extract_regex(pc.if_else(begins, texts, None), f"(?P<n>{_NUMBER})"), "n")
    plain = pc.replace_substring(pc.utf8_trim_whitespace(found), ",", ".")
    return np.asarray(pc.replace_substring_regex(plain, r"^\+", "").cast(pa.float64()).to_numpy(), dtype=np.float64)


def texts(column: pa.ChunkedArray) -> list[str | None]:
    """Return the texts of a column, None where a row has none; a whole number is written without its fraction."""
    return [_text(value) for value in column.to_pylist()]


def _text(value: object) -> str | None:
    if value is None or (isinstance(value, float) and not np.isfinite(value)):
        return None
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return " ".join(str(value).split()) or None


def fits(role: ColumnRole, column: pa.ChunkedArray, factor: float = 1.0) -> bool:
    """Tell whether the values of a column may be those of a role, nearly all of those that are there.

    Parameters
    ----------
    factor : float
        What its unit is in metres, metres a second or degrees.
    """
    if role is ColumnRole.STATE:
        return _switches(column)
    if role in RANGED:
        known = numbers(column)
        known = known[np.isfinite(known)] * factor
        least, most = RANGED[role]
        there = len(column) - column.null_count - _blanks(column)
        within = (known >= least) & (known <= most)
        return bool(len(known) and within.sum() >= _NEARLY * there)
    if not (is_text(column.type) or pa.types.is_integer(column.type)):
        return False
    found = [text for text in texts(column.slice(0, 1000)) if text is not None]
    return bool(found) and not all(_IDENTIFIER.fullmatch(text) for text in found)


def _blanks(column: pa.ChunkedArray) -> int:
    if not is_text(column.type):
        return 0
    return int(pc.sum(pc.equal(pc.utf8_trim_whitespace(column), "")).as_py() or 0)


def _switches(column: pa.ChunkedArray) -> bool:
    """Tell whether values are on and off: 0 and 1, or words for them."""
    if pa.types.is_boolean(column.type):
        return True
    if not (is_text(column.type) or is_number(column.type)):
        return False
    found = [value for value in pc.unique(column).to_pylist() if value not in (None, "")]
    return 0 < len(found) <= len(_ON_OFF) and all(str(value).strip().casefold() in _ON_OFF for value in found)
