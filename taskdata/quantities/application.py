"""Units of application rates, the dictionary entry that sets one, and the amounts that rates add up to.

Units are those of ``scales``; amounts are litres, kilograms and pieces.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.quantities.dictionary import Entry, entries, entry
from taskdata.quantities.scales import LEAST, MOST, Scale, scale_in, scales
from taskdata.records import short_repr

PLAIN_DDI = {"L": 1, "kg": 6, "1": 11}
"""The plain setpoint of a rate per area by the unit of its amount (ISO 11783-11)."""

_PER_AMOUNT = {"L": 1_000_000, "kg": 1_000_000, "1": 1}
"""How many of the dictionary's mm³, mg and pieces an amount is."""

_GROUND = {"ha", "ac", "m²"}


@short_repr
@dataclass(frozen=True, slots=True)
class RateUnit:
    """A unit of an application rate.

    Parameters
    ----------
    name : str
        As it is written, such as ``L/ha``.
    amount : str
        Unit of the amount: ``kg``, ``L`` or ``1``.
    per_m2 : float
        The amount that one of it applies to 1 m².
    """

    name: str
    amount: str
    per_m2: float

    @property
    def dictionary_unit(self) -> str | None:
        """The unit in which the dictionary has such rates."""
        return entry(PLAIN_DDI[self.amount]).unit


def rate_unit(text: str) -> RateUnit:
    """Return the unit that a text names.

    Raises
    ------
    UsageError
        There is no such unit.
    """
    for amount, ddi in PLAIN_DDI.items():
        scale, resolution = scale_in(ddi, text), entry(ddi).resolution
        if scale is not None and resolution is not None:
            return RateUnit(scale.unit, amount, float(Fraction(resolution) / scale.step / _PER_AMOUNT[amount]))
    known = ", ".join(unit for ddi in PLAIN_DDI.values() for unit in scales(ddi) if unit.rpartition("/")[2] in _GROUND)
    raise UsageError("is not a unit of a rate", where=text, remedy=f"Choose one of: {known}")


def setpoint_entry(unit: RateUnit, quantity: str | None) -> Entry:
    """Return the dictionary entry that a rate is stored by.

    Parameters
    ----------
    unit : RateUnit
        What rates are given in.
    quantity : str, optional
        Number of the entry (``432`` or ``0x01B0``) or words of its name; without it the plain rate of the unit's
        dimension, never that of a nutrient.

    Raises
    ------
    UsageError
        There is no such setpoint, several have these words, or it is not measured in such a unit.
    """
    found = entry(PLAIN_DDI[unit.amount]) if quantity is None else _named(quantity.strip(), unit)
    if found.kind != "setpoint" or found.unit != unit.dictionary_unit or not found.resolution:
        why = f"it is in {found.unit}" if found.unit else "its unit is not known"
        what = f"{found.plain_name} (DDI {found.ddi}) cannot be set in {unit.name}"
        remedy = "Choose another [[quantity]] or [[unit]]"
        raise UsageError(what, why=why if found.kind == "setpoint" else "it is not a setpoint", remedy=remedy)
    return found


def _named(quantity: str, unit: RateUnit) -> Entry:
    if re.fullmatch(r"\d{1,5}", quantity):
        return entry(int(quantity))
    if re.fullmatch(r"0[xX][0-9A-Fa-f]{1,4}", quantity):
        return entry(int(quantity, 16))
    words = quantity.casefold().split()
    offered = [item for item in _setpoints() if item.unit == unit.dictionary_unit]
    exact = [item for item in offered if item.plain_name.casefold() == quantity.casefold()]
    found = exact or [item for item in offered if all(word in item.name.casefold() for word in words)]
    if len(found) == 1:
        return found[0]
    told = "is not a quantity that can be set" if not found else "names several quantities"
    choice = "; ".join(f"{item.ddi} ({item.plain_name})" for item in found or offered)
    raise UsageError(told, where=quantity, remedy=f"Choose one of: {choice}")


@cache
def _setpoints() -> tuple[Entry, ...]:
    return tuple(item for item in entries().values() if item.kind == "setpoint" and item.group == "rate")


def raw_rates(rates: NDArray[np.float64], unit: RateUnit, item: Entry) -> NDArray[np.int64]:
    """Return rates as the nearest raw integers of a dictionary entry.

    Such integers set rates of machines: check them against the order before they go out.

    Raises
    ------
    UsageError
        A rate is not a number, or does not fit the 32 bits of task data; the error names the ends that fit.
    """
    step = float(_scale(unit, item).step)
    raw = np.rint(rates / step)
    fits = (raw >= LEAST) & (raw <= MOST)
    if not fits.all():
        what = f"{rates[~fits].flat[0]:g} {unit.name} does not fit the 32 bits of task data"
        remedy = f"Give rates up to {MOST * step:.6g} {unit.name}, or another unit"
        raise UsageError(what, where=item.plain_name, remedy=remedy)
    return raw.astype(np.int64)


def rates_of(raw: NDArray[Any], unit: RateUnit, item: Entry) -> NDArray[np.float64]:
    """Return raw integers of a dictionary entry as rates in a unit."""
    return _scale(unit, item).rates(raw)


def _scale(unit: RateUnit, item: Entry) -> Scale:
    """Return how raw integers of an entry that `setpoint_entry` gave for a unit are read in it."""
    found = scale_in(item.ddi, unit.name)
    if found is None:
        raise UsageError(f"{item.plain_name} is not measured in {unit.name}", remedy="Choose another [[unit]]")
    return found
