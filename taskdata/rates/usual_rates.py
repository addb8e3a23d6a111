"""Rates that are out of the usual are asked about: most of them are a unit that was mistaken.

The bounds are orders of magnitude of common practice: no dressing is lighter than a kilogram of granules or five litres
of spray on a hectare, and none heavier than slurry, manure or the densest stand of small seeds. A rate of 0 is usual.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from taskdata.errors import UsageError
from taskdata.geometry.arrays import Floats
from taskdata.quantities.scales import scales
from taskdata.rates.map_request import MapRules, WantedRate

_M2_PER_HA = 10_000.0

USUAL = {"kg": (1.0, 15_000.0), "L": (5.0, 80_000.0), "1": (5_000.0, 20_000_000.0)}
"""Least and most per hectare by the unit of the amount (common practice)."""


def ask_about(rates: Floats, wanted: Sequence[WantedRate], given: str | None = None) -> None:
    """Stop where rates of a layer, or rates given for where it says nothing, are out of the usual.

    Parameters
    ----------
    rates : float64 (n, q)
        Rates, NaN where there is none.
    given : str, optional
        What they are called where they are not those of the columns.

    Raises
    ------
    UsageError
        It names the range that was seen, the usual one, and the unit in which the rates would be usual.
    """
    for column, item in zip(rates.T, wanted, strict=True):
        some = column[np.isfinite(column) & (column > 0.0)]
        if not len(some) or _is_usual(some, item.unit.per_m2, item.unit.amount):
            continue
        low, high = (float(bound) / _M2_PER_HA / item.unit.per_m2 for bound in USUAL[item.unit.amount])
        others = [
            unit
            for unit, scale in scales(item.entry.ddi).items()
            if unit.rpartition("/")[2] in {"ha", "ac"}
            and _is_usual(some, _per_m2(item, float(scale.step)), item.unit.amount)
        ]
        meant = f"; in {others[0]} they would be usual" if others else ""
        raise UsageError(
            f"rates from {some.min():g} to {some.max():g} {item.unit.name} are out of the usual",
            where=given or item.column,
            why=f"common practice is {low:g} to {high:,.6g} {item.unit.name}{meant}",
            remedy="Check the unit ([[unit]]), or go on with [[accept_rates]]",
        )


def ask_about_given(rules: MapRules, wanted: Sequence[WantedRate]) -> None:
    """Stop where a rate for gaps, a lost position or the ground outside is out of the usual.

    Raises
    ------
    UsageError
        As of `ask_about`.
    """
    for named, rates in (("gap rate", rules.gap), ("lost rate", rules.lost), ("outside rate", rules.outside)):
        ask_about(np.array([rates]), wanted, named)


def _is_usual(rates: Floats, per_m2: float, amount: str) -> bool:
    least, most = USUAL[amount]
    return bool(least <= rates.min() * per_m2 * _M2_PER_HA and rates.max() * per_m2 * _M2_PER_HA <= most)


def _per_m2(item: WantedRate, step: float) -> float:
    """Return the amount on 1 m² of one of a unit of which a raw integer is ``step``."""
    own = scales(item.entry.ddi)[item.unit.name].step
    return item.unit.per_m2 * float(own) / step
