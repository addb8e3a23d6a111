"""From raw integers to the units a farm uses, metric or US, and back.

Physical value = raw integer x resolution of the dictionary; farm value = physical value x factor + offset. Factors are
kept as exact ratios of the published values (NIST SP 811: international acre 4046.8564224 m², US liquid gallon
3.785411784 L, avoirdupois pound 0.45359237 kg), so that a result is rounded only by float64.
"""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from math import lcm
from typing import Any, Literal, TypeAlias, overload

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.quantities.dictionary import Entry, entry
from taskdata.records import short_repr
from taskdata.resources import table

System: TypeAlias = Literal["metric", "us"]
Integers: TypeAlias = NDArray[np.integer[Any]]
Floats: TypeAlias = NDArray[np.floating[Any]]
_COLUMNS = {
    "metric": ("si_or_farm_unit", "factor", "offset"),
    "us": ("farm_unit_us", "factor_us", "offset_us"),
}


@short_repr
@dataclass(frozen=True, slots=True)
class UnitConversion:
    """How a physical value becomes a farm value: ``physical x factor + offset``, in ``unit``.

    ``quantity`` says what is measured; ``unit`` is empty for states, codes and bare numbers.
    """

    quantity: str
    unit: str
    factor: Fraction
    offset: Fraction


@overload
def convert(raw: int, ddi: int, system: System, quantity: str | None = None) -> tuple[float, str | None]: ...
@overload
def convert(
    raw: Integers, ddi: int, system: System, quantity: str | None = None
) -> tuple[Integers | Floats, str | None]: ...
def convert(
    raw: int | Integers, ddi: int, system: System, quantity: str | None = None
) -> tuple[float | Integers | Floats, str | None]:
    """Return raw values of a DDI in a farm's unit, and the unit.

    Parameters
    ----------
    raw : int or array of integers
        As stored.
    ddi : int
        What they measure.
    system : "metric" or "us"
        Which units.
    quantity : str, optional
        One of `quantities`, whole or by one of the listed words (such as ``fuel``); None = the usual one of this DDI.

    Returns
    -------
    value : float or array of float64
        The raw values unchanged where the dictionary does not know unit or resolution.
    unit : str or None
        None with raw values, empty for states, codes and bare numbers.

    Raises
    ------
    UsageError
        The DDI has no such quantity, or there is no such system.
    """
    known = conversion(ddi, system, quantity)
    resolution = entry(ddi).resolution
    if known is None or resolution is None:
        return raw, None
    times, plus, divisor = _linear(known, Fraction(resolution))
    if isinstance(raw, np.ndarray):
        return (raw.astype(np.float64) * times + plus) / divisor, known.unit
    return float((raw * times + plus) / divisor), known.unit


@overload
def to_raw(value: float, ddi: int, system: System, quantity: str | None = None) -> int: ...
@overload
def to_raw(value: Floats, ddi: int, system: System, quantity: str | None = None) -> NDArray[np.int32]: ...
def to_raw(value: float | Floats, ddi: int, system: System, quantity: str | None = None) -> int | NDArray[np.int32]:
    """Return the raw integers nearest to farm values, the inverse of `convert`.

    Such integers set rates of machines: check the values against the order before they go out.

    Raises
    ------
    UsageError
        The dictionary does not know unit or resolution of the DDI, it has no such quantity, or a value is no number
        or does not fit 32 bits.
    """
    known = conversion(ddi, system, quantity)
    resolution = entry(ddi).resolution
    if known is None or resolution is None:
        raise UsageError(f"unit or resolution of {entry(ddi).name} is not known, so no value can be converted to it")
    times, plus, divisor = _linear(known, Fraction(resolution))
    raw = np.rint((np.asarray(value, dtype=np.float64) * divisor - plus) / times)
    limits = np.iinfo(np.int32)
    if not np.all((raw >= limits.min) & (raw <= limits.max)):
        raise UsageError(f"a value of {entry(ddi).name} does not fit the 32 bits of task data")
    return raw.astype(np.int32) if isinstance(value, np.ndarray) else int(raw)


def quantities(ddi: int) -> tuple[str, ...]:
    """Return what the values of a DDI can stand for, each with units of its own; empty where nothing is known."""
    return tuple(row["quantity"] for row in _rows(entry(ddi)))


def conversion(ddi: int, system: System, quantity: str | None = None) -> UnitConversion | None:
    """Return how physical values of a DDI become farm values, or None where its unit is not known.

    Raises
    ------
    UsageError
        The DDI has no such quantity, or there is no such system.
    """
    if system not in _COLUMNS:
        raise UsageError(f"there are no units called {system!r}", remedy="Choose metric or us.")
    item = entry(ddi)
    rows = _rows(item)
    if not rows:
        return None
    row = _usual(rows, item) if quantity is None else _named(rows, item, quantity)
    unit, factor, offset = (row[column] for column in _COLUMNS[system])
    plain = "" if unit == "none" else unit.partition(" (")[0]
    return UnitConversion(row["quantity"], plain, _ratio(factor), _ratio(offset))


def _linear(known: UnitConversion, resolution: Fraction) -> tuple[int, int, int]:
    """Return integers so that farm value = (raw x first + second) / third."""
    step = resolution * known.factor
    divisor = lcm(step.denominator, known.offset.denominator)
    return int(step * divisor), int(known.offset * divisor), divisor


@cache
def _by_unit() -> dict[str, tuple[dict[str, str], ...]]:
    units = {row["unit"] for row in table("units")}
    return {unit: tuple(row for row in table("units") if row["unit"] == unit) for unit in units}


def _rows(item: Entry) -> tuple[dict[str, str], ...]:
    return _by_unit().get(item.unit or "", ())


def _usual(rows: tuple[dict[str, str], ...], item: Entry) -> dict[str, str]:
    """Return the row that names the DDI or its group, else the first."""
    for row in rows:
        for word in row["default_for"].split():
            low, _, high = word.partition("-")
            if word == item.group or (low.isdigit() and int(low) <= item.ddi <= int(high or low)):
                return row
    return rows[0]


def _named(rows: tuple[dict[str, str], ...], item: Entry, quantity: str) -> dict[str, str]:
    for row in rows:
        if quantity == row["quantity"] or quantity in row["quantity"].split(", "):
            return row
    choice = "; ".join(row["quantity"] for row in rows)
    raise UsageError(f"{item.name} is not measured as {quantity!r}", remedy=f"Choose one of: {choice}.")


def _ratio(text: str) -> Fraction:
    above, _, below = text.partition("/")
    return Fraction(above) / Fraction(below or 1)
