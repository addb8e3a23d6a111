"""Which values a quantity can have: by the range of the data dictionary, and by common practice.

The bounds of common practice are those of ``data/plausible.csv``, each with its reason: wide enough that no machine at
work is beyond them, and narrow enough to show a wrong unit, a wrong DDI or a damaged file.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

import numpy as np

from taskdata.quantities.dictionary import Entry, entry
from taskdata.quantities.units import convert
from taskdata.resources import table

LIFETIME = "lifetime total"
_STORED = np.iinfo(np.int32)
_WHOLE = 1e5


class Limits(NamedTuple):
    """The lowest and the highest raw value."""

    least: int
    most: int

    def hold(self, raw: int) -> bool:
        """Tell whether a raw value lies within."""
        return self.least <= raw <= self.most


ANY = Limits(int(_STORED.min), int(_STORED.max))


@cache
def listed(ddi: int) -> Limits:
    """Return the range that the data dictionary gives, `ANY` where it gives none.

    A range beyond 31 bits is that of a mask, which is stored in a signed field: every value is one.
    """
    item = entry(ddi)
    if not item.resolution or (item.maximum is not None and item.maximum > _STORED.max * item.resolution):
        return ANY
    least, most = (None if value is None else int(value / item.resolution) for value in (item.minimum, item.maximum))
    return Limits(ANY.least if least is None else least, ANY.most if most is None else most)


@cache
def usual(ddi: int) -> Limits:
    """Return the bounds of common practice, `ANY` where there are none; totals of a lifetime have none."""
    item = entry(ddi)
    row = None if not item.resolution or item.kind == LIFETIME else _row(item)
    if row is None or not item.resolution:
        return ANY
    least, most = (int(int(row[name]) / item.resolution) for name in ("least", "most"))
    return Limits(max(least, ANY.least), min(most, ANY.most))


def left(ddi: int, raw: int) -> tuple[str, Limits] | None:
    """Return which bounds a raw value leaves, in words, and the bounds; None where it leaves none."""
    if not listed(ddi).hold(raw):
        return "outside the range of the data dictionary", listed(ddi)
    return None if usual(ddi).hold(raw) else ("beyond common practice", usual(ddi))


def shown(raw: int, ddi: int, *, digits: int = 6) -> str:
    """Return a raw value in the unit of a farm, such as ``200 L/ha``; the raw value where its unit is not known."""
    value, unit = convert(raw, ddi, "metric")
    if unit is None:
        return f"{raw} (raw)"
    number = f"{value:.0f}" if abs(value) >= _WHOLE else f"{value:.{digits}g}"
    return f"{number} {unit}".rstrip()


def crossed(limits: Limits, raw: int, ddi: int) -> str:
    """Return the bound that a value crosses, in words: ``less than 0 L/ha`` or ``more than 100 m``."""
    least, most = (shown(bound, ddi, digits=5) for bound in limits)
    return f"less than {least}" if raw < limits.least else f"more than {most}"


def _row(item: Entry) -> dict[str, str] | None:
    """Return the row that names the number, else the one for unit and group."""
    for by_number in (True, False):
        for row in table("plausible"):
            meant = _named(row, item.ddi) if by_number else item.group in row["groups"].split()
            if meant and row["unit"] == item.unit:
                return row
    return None


def _named(row: dict[str, str], ddi: int) -> bool:
    spans = (word.partition("-") for word in row["ddis"].split())
    return any(int(low) <= ddi <= int(high or low) for low, _, high in spans)
