"""Rates and product in the units of a farm."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from taskdata.quantities.units import conversion
from taskdata.results.coverage import RateFigures

HECTARE_M2 = Fraction(10_000)
ACRE_M2 = Fraction("4046.8564224")


@dataclass(frozen=True, slots=True)
class Shown:
    """How physical rates and products are shown: units, and what to multiply with."""

    unit: str
    product_unit: str
    factor: Fraction
    area_m2: Fraction

    def rate(self, physical: float) -> float:
        """Return a rate by square metre in the unit."""
        return physical * float(self.factor)

    def product(self, physical: float) -> float:
        """Return an amount of product in its unit."""
        return physical * float(self.factor / self.area_m2)


def shown(rate: RateFigures, units: Literal["metric", "us"]) -> Shown:
    """Return how a rate is shown."""
    known = conversion(rate.ddi, units)
    if known is None:
        return Shown(rate.unit, rate.unit.partition("/")[0], Fraction(1), Fraction(1))
    product, _, area = known.unit.partition("/")
    size = ACRE_M2 if area == "ac" else HECTARE_M2
    return Shown(known.unit, "pieces" if product == "1" else product, known.factor, size)
