"""Which column of a layer holds times, and the times in it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.words import meanings
from taskdata.formats.some_rows import some_rows
from taskdata.formats.spooling import put_back
from taskdata.mapped import large_array

_DATES = (
    *("%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%Y/%m/%d", "%Y%m%d", "%d-%m-%Y"),
    *("%d.%m.%y", "%d/%m/%y", "%m/%d/%y", "%d %b %Y", "%d-%b-%Y"),
)
_CLOCKS = ("%H:%M:%S", "%H:%M", "%H%M%S", "%I:%M:%S %p", "%I:%M %p")
_BETWEEN = ("T", " ", "")
_FRACTION = r"(:\d\d)[.,](\d{1,9})"
_ZONE = r"\s*(Z|UTC|[+-]\d\d:?\d\d)$"
_EARLIEST = np.datetime64("1980-01-01", "ms")
"""Earlier times are those of a clock that was not set, or of a year of two digits."""

_NEARLY = 0.9
"""Share of the texts of a column that must be times."""

_LIKELY, _SAMPLE = 0.8, 2048
"""Share of the texts of a sample, and its size, from which a notation is tried on all."""

_AT_ONCE = 1 << 17
"""Rows that are read at once, so that their texts are not held several times over."""

_SECONDS = (5e8, 5e9)
"""Numbers that may be seconds since 1970: from 1985 to 2128."""


@dataclass(frozen=True, eq=False)
class Times:
    """The times of the rows of a layer.

    Parameters
    ----------
    columns : tuple of str
        The columns that they were read from: one, or a date and a time of day.
    values : datetime64[ms] (n,)
        As they are written; NaT where a row has none.
    utc : bool
        They say that they are in UTC.
    """

    columns: tuple[str, ...]
    values: NDArray[np.datetime64]
    utc: bool = False


def times_of(table: pa.Table) -> Times | None:
    """Return the times of a table, None where no column holds any, or several do and none is called so.

    A column of times is one of that type, or one of whose texts nearly all are a date and a time in one notation. Where
    texts can be read as day and month or as month and day, the reading counts in which times run forwards.
    """
    named = time_columns(table)
    typed = [name for name in table.column_names if pa.types.is_timestamp(table[name].type)]
    for name in (*(name for name in named if name in typed), *(typed if len(typed) == 1 else ())):
        return Times((name,), stamps_of(table[name]), utc=table[name].type.tz is not None)
    for name in named:
        found = _read(table[name])
        if found is not None:
            return Times((name,), *found)
    return _two_columns(table, named)


def time_columns(table: pa.Table) -> list[str]:
    """Return the columns that are called a time or a date."""
    return [name for name in table.column_names if name != GEOMETRY and is_called_time(name)]


def is_called_time(name: str) -> bool:
    """Tell whether the name of a column says that it holds times or dates."""
    return "time" in meanings(name)


def stamps_of(column: pa.ChunkedArray) -> NDArray[np.datetime64]:
    """Return a column of times as datetime64[ms]."""
    return np.asarray(column.cast(pa.timestamp("ms"), safe=False).to_numpy()).astype("datetime64[ms]")


def _read(column: pa.ChunkedArray) -> tuple[NDArray[np.datetime64], bool] | None:
    """Return the times of a column, and whether they are in UTC; None where it holds something else."""
    if pa.types.is_floating(column.type):
        return _since_1970(column)
    if pa.types.is_integer(column.type):
        return _since_1970(column) or _in_one_notation(column.cast(pa.string()), ["%Y%m%d%H%M%S"])
    if not (pa.types.is_string(column.type) or pa.types.is_large_string(column.type)):
        return None
    return _in_one_notation(column.cast(pa.string()), [f"{d}{b}{c}" for d in _DATES for b in _BETWEEN for c in _CLOCKS])


def _since_1970(column: pa.ChunkedArray) -> tuple[NDArray[np.datetime64], bool] | None:
    values = np.asarray(column.cast(pa.float64(), safe=False).to_numpy(), dtype=np.float64)
    known = values[np.isfinite(values)]
    for scale in (1000.0, 1.0):
        if len(known) and ((known * scale / 1000.0 > _SECONDS[0]) & (known * scale / 1000.0 < _SECONDS[1])).all():
            stamps = np.full(len(values), np.datetime64("NaT", "ms"))
            stamps[np.isfinite(values)] = np.round(known * scale).astype(np.int64).astype("datetime64[ms]")
            return stamps, True
    return None


class _Part(NamedTuple):
    """Texts of a part of a column, without zones and fractions of seconds, and these fractions."""

    texts: pa.ChunkedArray
    fractions: NDArray[np.timedelta64]
    filled: int
    utc: bool


def _in_one_notation(texts: pa.ChunkedArray, notations: list[str]) -> tuple[NDArray[np.datetime64], bool] | None:
    """Return the times of a column, and whether they are in UTC; None where no notation fits, or several do.

    A sample tells which notations to try, since each costs as much as reading the column.
    """
    sample = _part(some_rows(texts, _SAMPLE)).texts
    likely = [item for item in notations if _share_read(_read_as(sample, item), sample) >= _LIKELY]
    values = {item: large_array((len(texts),), "M8[ms]") for item in likely}
    filled, utc = 0, True
    for start in range(0, len(texts) if likely else 0, _AT_ONCE):
        part = _part(texts.slice(start, _AT_ONCE))
        put_back()
        filled, utc = filled + part.filled, utc and part.utc
        for item in likely:
            values[item][start : start + _AT_ONCE] = _read_as(part.texts, item) + part.fractions
    found = [item for item in values.values() if filled and (~np.isnat(item)).sum() >= _NEARLY * filled]
    if len(found) == 1:
        return found[0], utc
    forwards = [item for item in found if _share_forwards(item) > 0.9]
    return ((forwards or found)[0], utc) if len(forwards) == 1 or _all_alike(found) else None


def _part(texts: pa.ChunkedArray) -> _Part:
    trimmed = pc.utf8_trim_whitespace(texts)
    filled = pc.if_else(pc.equal(trimmed, ""), None, trimmed)
    zoned = pc.replace_substring_regex(filled, _ZONE, "")
    whole = pc.replace_substring_regex(zoned, _FRACTION, r"\1")
    utc = pc.all(pc.match_substring_regex(filled.drop_null(), r"(Z|UTC)$")).as_py() is not False
    return _Part(whole, _milliseconds(zoned), len(filled) - filled.null_count, utc)


def _read_as(texts: pa.ChunkedArray, notation: str) -> NDArray[np.datetime64]:
    """Return the times that texts are in a notation, NaT for any other text."""
    stamps = pc.strptime(texts, format=notation, unit="ms", error_is_null=True)
    values = np.asarray(stamps.to_numpy()).astype("datetime64[ms]")
    values[values < _EARLIEST] = np.datetime64("NaT")
    return values


def _share_read(values: NDArray[np.datetime64], texts: pa.ChunkedArray) -> float:
    filled = len(texts) - texts.null_count
    return float((~np.isnat(values)).sum() / filled) if filled else 0.0


def _all_alike(found: list[NDArray[np.datetime64]]) -> bool:
    return bool(found) and all(np.array_equal(found[0], other, equal_nan=True) for other in found[1:])


def _share_forwards(values: NDArray[np.datetime64]) -> float:
    known = values[~np.isnat(values)]
    steps = np.diff(known)
    return float((steps >= np.timedelta64(0, "ms")).mean()) if len(steps) else 0.0


def _milliseconds(texts: pa.ChunkedArray) -> NDArray[np.timedelta64]:
    fraction = pc.struct_field(pc.extract_regex(texts, r":\d\d[.,](?P<rest>\d{1,9})"), "rest")
    digits = pc.utf8_slice_codeunits(pc.utf8_rpad(pc.fill_null(fraction, ""), 3, "0"), 0, 3)
    return np.asarray(digits.cast(pa.int64()).to_numpy()).astype("timedelta64[ms]")


def _two_columns(table: pa.Table, named: list[str]) -> Times | None:
    """Return times of a column of dates and one of times of day."""
    texts = {name: table[name] for name in named if pa.types.is_string(table[name].type)}
    for first, dates in texts.items():
        if _in_one_notation(dates, list(_DATES)) is None:
            continue
        for second, clocks in texts.items():
            if first == second or _in_one_notation(clocks, list(_CLOCKS)) is None:
                continue
            both = pc.binary_join_element_wise(dates, clocks, " ")
            found = _in_one_notation(both, [f"{date} {clock}" for date in _DATES for clock in _CLOCKS])
            if found is not None:
                return Times((first, second), *found)
    return None
