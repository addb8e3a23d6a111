"""Rates as people write them, in any unit of their dimension, and the raw integers that are stored; exact.

A unit is one of those that ``units.csv`` gives for the quantity, the unit of the dictionary itself, or one that
``written_units.csv`` makes of them by an exact ratio. It may be written in any case, and with 2 and 3 for ² and ³.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.quantities.dictionary import entry
from taskdata.quantities.presentation import Presentation
from taskdata.quantities.units import Integers, System, conversion, quantities
from taskdata.records import short_repr
from taskdata.resources import table

LEAST, MOST = -(2**31), 2**31 - 1
"""The ends of the 32 bits in which task data stores a value."""

_NEVER_NEGATIVE = {"rate", "yield"}


@short_repr
@dataclass(frozen=True, slots=True)
class Scale:
    """How a raw integer is read: ``rate = raw x step + offset``, in ``unit`` (empty for states and bare numbers)."""

    unit: str
    step: Fraction
    offset: Fraction

    def rate(self, raw: int) -> float:
        """Return the rate of a raw integer, rounded to the nearest float64 alone."""
        return float(raw * self.step + self.offset)

    def rates(self, raw: Integers) -> NDArray[np.float64]:
        """Return the rates of raw integers, (n,), each as ``rate`` gives it."""
        found, places = np.unique(raw, return_inverse=True)
        rates = np.array([self.rate(value) for value in found.tolist()], dtype=np.float64)
        return rates[places].reshape(np.shape(raw))

    def raw(self, rate: float) -> Fraction:
        """Return the raw number of a rate, not rounded; the rate counts as the decimal number that it is shown as.

        Raises
        ------
        ValueError
            It is not a finite number.
        """
        if not np.isfinite(rate):
            raise ValueError(f"{rate} is not a finite number")
        return (Fraction(repr(float(rate))) - self.offset) / self.step


def usual_scale(ddi: int, system: System = "metric", presentation: Presentation | None = None) -> Scale | None:
    """Return how values of a DDI are shown; None where neither the dictionary nor a presentation says it.

    Parameters
    ----------
    ddi : int
        What is measured.
    system : "metric" or "us"
        Which units.
    presentation : Presentation, optional
        How the set shows a quantity that the dictionary does not know.
    """
    known, resolution = conversion(ddi, system), entry(ddi).resolution
    if known is not None and resolution is not None:
        return Scale(known.unit, Fraction(resolution) * known.factor, known.offset)
    if presentation is None or not presentation.scale:
        return None
    step = Fraction(presentation.scale)
    return Scale(presentation.unit, step, step * presentation.offset)


def scale_in(ddi: int, unit: str, presentation: Presentation | None = None) -> Scale | None:
    """Return how values of a DDI are read in a unit as somebody wrote it, None where it is not one of its units."""
    usual = usual_scale(ddi, presentation=presentation)
    if usual is not None and _plain(unit) == _plain(usual.unit):
        return usual
    return next((scale for name, scale in scales(ddi).items() if _plain(name) == _plain(unit)), None)


@cache
def scales(ddi: int) -> Mapping[str, Scale]:
    """Return every unit in which values of a DDI can be written, the usual ones first, and how it is read."""
    found: dict[str, Scale] = {}
    for scale in _of_dictionary(ddi):
        found.setdefault(scale.unit, scale)
    for row in table("written_units"):
        base, ratio = found.get(row["of"]), Fraction(row["ratio"])
        if base is not None and not base.offset:
            found.setdefault(row["written"], Scale(row["written"], base.step / ratio, base.offset))
    return MappingProxyType(found)


def least_raw(ddi: int) -> int:
    """Return the smallest raw integer that makes sense for somebody to ask for: 0 of rates, which are never below."""
    item = entry(ddi)
    never = item.group in _NEVER_NEGATIVE or (item.minimum is not None and item.minimum >= 0)
    return 0 if never else LEAST


def _of_dictionary(ddi: int) -> Iterator[Scale]:
    item = entry(ddi)
    for quantity in (None, *quantities(ddi)):
        systems: tuple[System, ...] = ("metric", "us")
        for system in systems:
            known = conversion(ddi, system, quantity)
            if known is not None and item.resolution is not None:
                yield Scale(known.unit, Fraction(item.resolution) * known.factor, known.offset)
    if item.unit is not None and item.resolution is not None and quantities(ddi) and usual_unit(ddi):
        yield Scale(item.unit, Fraction(item.resolution), Fraction(0))


def usual_unit(ddi: int) -> str:
    """Return the metric unit in which values of a DDI are shown, empty where there is none."""
    usual = usual_scale(ddi)
    return "" if usual is None else usual.unit


def _plain(unit: str) -> str:
    text = re.sub(r"\s*/\s*", "/", " ".join(unit.casefold().split()))
    return text.replace("²", "2").replace("³", "3").replace(" (us)", "")
