"""What a caller asks of a rate map, refused where it cannot be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum

from taskdata.amounts import counted, plain
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.quantities.application import RateUnit, rate_unit, setpoint_entry
from taskdata.quantities.dictionary import Entry
from taskdata.rates.classes import Classing
from taskdata.records import short_repr
from taskdata.results.rate_maps import MapForm

LEAST_CELL_M, MOST_CELL_M = 0.5, 500.0
"""Sides of a cell that make sense on a field (common practice)."""


class Overlap(StrEnum):
    """Which rate holds where polygons of different rates cover the same ground."""

    FIRST = "first"
    LAST = "last"
    MEAN = "mean"


@short_repr
@dataclass(frozen=True, slots=True)
class WantedRate:
    """One quantity that is set.

    Parameters
    ----------
    column : str or None
        Column of the layer, or band of a raster, that holds the rates; None = the only one.
    unit : RateUnit
        What they are in.
    entry : Entry
        The dictionary entry that stores them.
    product : str or None
        Identifier or name of what is applied.
    chosen : bool
        Whether the caller named the entry.
    """

    column: str | None
    unit: RateUnit
    entry: Entry
    product: str | None
    chosen: bool = False


@short_repr
@dataclass(frozen=True, slots=True)
class MapRules:
    """How rates are brought to zones or cells.

    Parameters
    ----------
    form : MapForm
        Zones or a grid.
    cell_m : float or None
        Side of a cell; None = the working width of the machine.
    classing : Classing or None
        How rates are put into classes.
    round_to : float or None
        Step that rates are rounded to, in their unit.
    overlap : Overlap or None
        Which of several rates holds; None refuses them.
    gap, lost, outside : tuple of float
        Rates of each quantity for ground of the field without a rate, for a lost position, and outside the field.
    accept_rates : bool
        Go on with rates that are out of the usual.
    """

    form: MapForm
    cell_m: float | None
    classing: Classing | None
    round_to: float | None
    overlap: Overlap | None
    gap: tuple[float, ...]
    lost: tuple[float, ...]
    outside: tuple[float, ...]
    accept_rates: bool

    def __post_init__(self) -> None:
        """Refuse numbers that make no sense.

        Raises
        ------
        UsageError
            A size, step or rate is not finite, or out of its range.
        """
        if self.cell_m is not None and not LEAST_CELL_M <= self.cell_m <= MOST_CELL_M:
            remedy = f"Give {LEAST_CELL_M:g} to {MOST_CELL_M:g} m, such as the working width"
            raise UsageError(f"a cell of a rate map cannot have {plain(self.cell_m)} m", remedy=remedy)
        if self.round_to is not None and not (math.isfinite(self.round_to) and self.round_to > 0.0):
            raise UsageError(
                f"rates cannot be rounded to steps of {plain(self.round_to)}", remedy="Give a step above 0"
            )
        for value in (*self.gap, *self.lost, *self.outside):
            if not (math.isfinite(value) and value >= 0.0):
                raise UsageError(f"a rate cannot be {plain(value)}", remedy="Give rates from 0")


def wanted_rates(
    columns: Sequence[str], units: Sequence[str], products: Sequence[str], quantities: Sequence[str]
) -> tuple[WantedRate, ...]:
    """Return the quantities that are set, one for each unit, in the order given.

    Parameters
    ----------
    columns, units, products, quantities : sequence of str
        A unit for each column; products and quantities for all of them or for none.

    Raises
    ------
    UsageError
        Their numbers do not agree, or a unit or quantity is unknown.
    """
    if not units:
        raise UsageError("the unit of the rates is missing", remedy="Name it, for example [[unit=kg/ha]]")
    given = {"column": columns, "product": products, "quantity": quantities}
    for name, values in given.items():
        if values and len(values) != len(units):
            told = f"{counted(len(units), 'unit')} and {counted(len(values), name, _plural(name))} were given"
            raise UsageError(told, remedy=f"Give [[unit]] and [[{name}]] once for each quantity, in the same order")
    if len(units) > 1 and not columns:
        raise UsageError("several quantities need a column each", remedy="Give [[column]] for each, in the same order")
    found = []
    for at, text in enumerate(units):
        unit, quantity = rate_unit(text), quantities[at] if quantities else None
        entry = setpoint_entry(unit, quantity)
        column, product = columns[at] if columns else None, products[at] if products else None
        found.append(WantedRate(column, unit, entry, product, chosen=quantity is not None))
    return tuple(found)


def form_of(text: str) -> MapForm:
    """Return how a map is to be stored.

    Raises
    ------
    UsageError
        There is no such form.
    """
    try:
        return MapForm(text)
    except ValueError:
        raise UsageError("is not a form of a rate map", where=text, remedy="Choose zones, grid1 or grid2") from None


def overlap_of(text: str | None) -> Overlap | None:
    """Return which of several rates holds, None where nothing is said.

    Raises
    ------
    UsageError
        There is no such rule.
    """
    try:
        return None if text is None else Overlap(text)
    except ValueError:
        raise UsageError("does not say which rate holds", where=text, remedy="Choose first, last or mean") from None


def for_each(values: Sequence[float], count: int, name: str) -> tuple[float, ...]:
    """Return a rate for each quantity: the one that is given for all, those for each, or 0.

    Raises
    ------
    UsageError
        There are neither one nor as many as quantities.
    """
    if len(values) in (0, 1):
        return (*values, 0.0)[:1] * count
    if len(values) != count:
        told = f"{counted(count, 'quantity', 'quantities')} and {counted(len(values), 'rate')} were given"
        raise UsageError(told, remedy=f"Give [[{name}]] once, or once for each quantity")
    return tuple(values)


def _plural(name: str) -> str:
    return "quantities" if name == "quantity" else f"{name}s"
