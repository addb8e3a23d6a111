"""A column of rates as numbers; what is none, or cannot be a rate, is refused with its row."""

from __future__ import annotations

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.errors import UsageError
from taskdata.file_formats.delimited.numbers import notation_of, number
from taskdata.formats.base import RawTable
from taskdata.geometry.arrays import Floats


def numbers_of(raw: RawTable, column: str) -> Floats:
    """Return the rates of a column, NaN where a row has none; texts count if all are numbers written in one way.

    Raises
    ------
    UsageError
        A value is no number, not finite or negative; or texts can be read in two ways.
    """
    values, kind = raw.table[column], raw.table[column].type
    if pa.types.is_string(kind) or pa.types.is_large_string(kind):
        found = _of_texts(raw, column, values.to_pylist())
    elif any(told(kind) for told in (pa.types.is_integer, pa.types.is_floating, pa.types.is_decimal, pa.types.is_null)):
        found = np.asarray(values.cast(pa.float64(), safe=False).to_numpy(), dtype=np.float64)
    else:
        told = f"column {column} holds no numbers"
        raise UsageError(
            told, where=raw.label, why=f"it is of the type {kind}", remedy="Name the column with the rates"
        )
    _refuse(raw, column, np.isinf(found), found, "is not a rate")
    _refuse(raw, column, found < 0.0, found, "is negative")
    return found


def _of_texts(raw: RawTable, column: str, texts: list[str | None]) -> Floats:
    filled = [text for text in texts if text is not None and text.strip()]
    notation = notation_of(filled)
    if filled and notation is None:
        row = next((row for row, text in enumerate(texts) if text and text.strip() and notation_of([text]) is None), 0)
        where = f"{raw.label}, row {raw.number(row)}"
        remedy = "Write every rate of the column as a number, in one way"
        raise UsageError(f"{column} {texts[row]!r} is not a number", where=where, remedy=remedy)
    if notation is not None and _is_open(filled):
        why = f"{filled[0].strip()} may be thousands or decimals"
        remedy = "Write the rates without a sign between thousands, or more or fewer than three decimals"
        raise UsageError(f"column {column} can be read in two ways", where=raw.label, why=why, remedy=remedy)
    blank = float("nan")
    read = [number(text, notation) if notation and text is not None and text.strip() else blank for text in texts]
    return np.array(read, dtype=np.float64)


def _is_open(texts: list[str]) -> bool:
    """Tell whether every text has three digits behind its only sign, so that nothing says what the sign is."""
    signs = [text.strip().lstrip("+-") for text in texts]
    return all(len(text) > 4 and text[-4] in ",." and text.replace(text[-4], "", 1).isdigit() for text in signs)


def _refuse(raw: RawTable, column: str, bad: NDArray[np.bool_], values: Floats, what: str) -> None:
    rows = np.flatnonzero(bad)
    if len(rows):
        first = int(rows[0])
        more = f"so {'is' if len(rows) == 2 else 'are'} {counted(len(rows) - 1, 'other')}" if len(rows) > 1 else None
        where = f"{raw.label}, row {raw.number(first)}"
        raise UsageError(f"{column} {values[first]:g} {what}", where=where, why=more, remedy="Correct it in the layer")
