"""How layers show a stored process data value: ``rate`` in ``unit``, and ``raw_value``, the integer of the standard."""

from __future__ import annotations

from typing import NamedTuple

from taskdata.formats.columns import Column, ColumnType
from taskdata.model.tasks import Setpoint
from taskdata.quantities.dictionary import Entry, entry
from taskdata.quantities.scales import Scale, usual_scale
from taskdata.quantities.units import System

DDI, RATE, UNIT, RAW = "ddi", "rate", "unit", "raw_value"
QUANTITY = "quantity"
_HIGHEST = 0xFFFF


class Stated(NamedTuple):
    """What a row says of one value: number in the data dictionary, rate with its unit, and raw integer."""

    ddi: int | None = None
    rate: float | None = None
    unit: str | None = None
    raw: int | None = None


def columns(of: str, suffix: str = "") -> tuple[Column, ...]:
    """Return the columns of a value; ``of`` says which, such as ``the first setpoint``, ``suffix`` ends their names."""
    return (
        Column(f"{DDI}{suffix}", ColumnType.INTEGER, f"Data dictionary number of {of}", derived=bool(suffix)),
        Column(f"{QUANTITY}{suffix}", ColumnType.TEXT, "Meaning of that number", derived=True),
        Column(
            f"{RATE}{suffix}",
            ColumnType.REAL,
            f"Value of {of} in its unit; empty where neither the data dictionary nor the set says the unit",
        ),
        Column(
            f"{UNIT}{suffix}",
            ColumnType.TEXT,
            "Unit of that value, any of the same dimension, such as L/ha or gal/ac; empty for states and bare numbers",
        ),
        Column(
            f"{RAW}{suffix}",
            ColumnType.INTEGER,
            "Integer that is stored, computed from rate and unit, which count; edit it only where there is no rate",
        ),
    )


def stated(setpoint: Setpoint, system: System = "metric") -> Stated:
    """Return what a row says of a setpoint."""
    scale = scale_of(setpoint, system)
    if scale is None or not isinstance(setpoint.value, int):
        return Stated(setpoint.ddi, None, None, setpoint.value)
    return Stated(setpoint.ddi, scale.rate(setpoint.value), scale.unit or None, setpoint.value)


def scale_of(setpoint: Setpoint, system: System = "metric") -> Scale | None:
    """Return how the value of a setpoint is shown, None where no unit of it is known."""
    if listed(setpoint.ddi) is None:
        return None
    shown = setpoint.presentation
    return usual_scale(setpoint.ddi, system, None if shown is None else shown.usable)


def listed(ddi: object) -> Entry | None:
    """Return the entry of a number that may stand in task data, None for anything else."""
    good = isinstance(ddi, int) and not isinstance(ddi, bool) and 0 <= ddi <= _HIGHEST
    return entry(ddi) if good else None  # type: ignore[arg-type]


def named(ddi: object) -> str | None:
    """Return what the dictionary calls a number, or that it does not know it; None for what is no such number."""
    found = listed(ddi)
    return None if found is None else found.plain_name
