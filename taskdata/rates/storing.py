"""Rates as the integers that are stored: classed, rounded, and billed as they stand in the end."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats
from taskdata.quantities.application import rates_of, raw_rates
from taskdata.rates.classes import classed, rounded
from taskdata.rates.map_request import MapRules, WantedRate
from taskdata.results.rate_maps import RateArea


@dataclass(frozen=True, eq=False)
class StoredRates:
    """Raw integers of pieces of ground.

    Parameters
    ----------
    raw : int64 (m, q)
        Of each piece and quantity; the last row is that of the gaps.
    areas : float64 (m,)
        Their ground in the field, m².
    """

    raw: NDArray[np.int64]
    areas: Floats

    def totals(self, wanted: Sequence[WantedRate]) -> Floats:
        """Return the sum of area x rate of each quantity, (q,)."""
        found = [
            self.areas @ rates_of(raw, item.unit, item.entry) for raw, item in zip(self.raw.T, wanted, strict=True)
        ]
        return np.array(found)

    def by_rate(self, wanted: Sequence[WantedRate]) -> tuple[RateArea, ...]:
        """Return the ground of each different rate, quantity by quantity, the lowest rate first."""
        found = []
        for at, (raw, item) in enumerate(zip(self.raw.T, wanted, strict=True)):
            values, inverse = np.unique(raw, return_inverse=True)
            areas = np.bincount(inverse, self.areas)
            rates = rates_of(values, item.unit, item.entry).tolist()
            pairs = zip(rates, areas.tolist(), strict=True)
            found += [RateArea(rate, item.unit.name, area, at) for rate, area in pairs if area > 0.0]
        return tuple(found)


def raw_of(rates: Floats, areas: Floats, wanted: Sequence[WantedRate], rules: MapRules) -> NDArray[np.int64]:
    """Return the integers that store rates, put into classes and rounded as the rules say.

    Parameters
    ----------
    rates, areas : float64 (m, q) and (m,)
        Rates, none of them NaN, and their ground.

    Raises
    ------
    UsageError
        A rate does not fit.
    """
    columns = []
    for column, item in zip(rates.T, wanted, strict=True):
        found = column if rules.classing is None else classed(column, areas, rules.classing)
        found = found if rules.round_to is None else rounded(found, rules.round_to)
        columns.append(raw_rates(found, item.unit, item.entry))
    return np.stack(columns, axis=1)


def raw_rule(rates: Sequence[float], wanted: Sequence[WantedRate]) -> tuple[int, ...]:
    """Return the integers of a rate of each quantity that the caller gave."""
    pairs = zip(rates, wanted, strict=True)
    return tuple(int(raw_rates(np.array([rate]), item.unit, item.entry)[0]) for rate, item in pairs)
