"""Rates by area, and product, in the units of a farm."""

from __future__ import annotations

from fractions import Fraction

from taskdata.dataclass import dataclass
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import System, conversion

HECTARE_M2 = Fraction(10_000)
ACRE_M2 = Fraction("4046.8564224")


@dataclass(frozen=True, slots=True)
class FarmRate:
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


def farm_rate(ddi: int, system: System = "metric") -> FarmRate:
    """Return how a rate by area is shown; in the unit of the dictionary where no other is known."""
    known = conversion(ddi, system)
    if known is None:
        unit = entry(ddi).unit or ""
        return FarmRate(unit, unit.partition("/")[0], Fraction(1), Fraction(1))
    product, _, area = known.unit.partition("/")
    size = ACRE_M2 if area == "ac" else HECTARE_M2
    return FarmRate(known.unit, "pieces" if product == "1" else product, known.factor, size)
