"""What belongs to a rate: the actual rate of a setpoint, and the total of what was applied.

Totals are from memory (ISO 11783-11): volume in l or ml, mass in kg or g, count.
"""

from __future__ import annotations

from functools import cache

from taskdata.quantities.dictionary import entries, entry

_VOLUME_TOTALS, _MASS_TOTALS, _COUNT_TOTALS = (80, 351), (81, 352), (82,)
_TOTALS = {
    **dict.fromkeys((1, 2, 36, 37), _VOLUME_TOTALS),
    **dict.fromkeys((6, 7, 41, 42), _MASS_TOTALS),
    **dict.fromkeys((11, 12, 46, 47), _COUNT_TOTALS),
}


def totals_of(ddi: int) -> tuple[int, ...]:
    """Return the totals of which one belongs to a rate; empty for what is no such rate."""
    return _TOTALS.get(ddi, ())


def actual_of(ddi: int) -> int | None:
    """Return the actual rate that belongs to a setpoint rate by its name, None where the dictionary lists none."""
    name = entry(ddi).name
    return _actual_rates().get(name.replace("Setpoint", "Actual", 1)) if name.startswith("Setpoint") else None


@cache
def _actual_rates() -> dict[str, int]:
    return {item.name: item.ddi for item in entries().values() if item.group == "rate" and item.kind == "actual"}
