"""What making a rate map gives; rates in the units that the caller gave, areas in m², amounts in kg, L or pieces."""

from __future__ import annotations

from enum import StrEnum

from taskdata.dataclass import dataclass
from taskdata.records import short_repr
from taskdata.results.conversion import Conversion


class MapForm(StrEnum):
    """How the map is stored (ISO 11783-10, 6.8.1 and 8.6.2)."""

    ZONES = "zones"
    GRID_1 = "grid1"
    GRID_2 = "grid2"


class MapNote(StrEnum):
    """What the reader of a rate map has to know."""

    FIELD_DERIVED = "field-derived"
    FIELD_WITHOUT_BOUNDARY = "field-without-boundary"
    OUTSIDE_FIELD = "outside-field"
    GAPS = "gaps"
    ROWS_WITHOUT_RATE = "rows-without-rate"
    RULES = "rules"
    PLAIN_QUANTITY = "plain-quantity"
    CHOSEN_QUANTITY = "chosen-quantity"
    NEW_PRODUCT = "new-product"
    COUNTED_OTHERWISE = "counted-otherwise"
    PART = "part"
    CELL = "cell"
    OVERLAPS = "overlaps"
    SLIVERS = "slivers"
    SCALED = "scaled"
    TOTAL_CHANGED = "total-changed"


@short_repr
@dataclass(frozen=True, slots=True)
class MapQuantity:
    """What is set: ``ddi`` and ``name`` of the dictionary entry, the ``unit`` of rates, and the ``product`` or None."""

    ddi: int
    name: str
    unit: str
    product: str | None = None


@short_repr
@dataclass(frozen=True, slots=True)
class Fills:
    """Fills of a tank or bag: how many ``full`` ones, and the amount of the ``last``, 0 where nothing is left."""

    full: int
    last: float


@short_repr
@dataclass(frozen=True, slots=True)
class BillLine:
    """The total of one product in the field.

    Parameters
    ----------
    product : str or None
        Its name.
    unit : str
        ``kg``, ``L`` or ``1`` (pieces).
    area_m2 : float
        Ground of the field, that without a rate of the map included.
    before, after : float
        Total that the map asks for, ground without a rate counted with the gap rate; and total of what is stored.
    tank : float or None
        Size of a tank or bag to compare with.
    """

    product: str | None
    unit: str
    area_m2: float
    before: float
    after: float
    tank: float | None = None

    @property
    def difference(self) -> float:
        """The total stored less the total asked for."""
        return self.after - self.before

    @property
    def fills(self) -> Fills | None:
        """How often a tank or bag is filled for the total stored; None without a size."""
        if self.tank is None:
            return None
        full = int(self.after // self.tank)
        return Fills(full, self.after - full * self.tank)


@short_repr
@dataclass(frozen=True, slots=True)
class RateArea:
    """How much of the field, ``area_m2``, gets one ``rate``, in ``unit``, of the ``quantity`` of that number."""

    rate: float
    unit: str
    area_m2: float
    quantity: int = 0


@short_repr
@dataclass(frozen=True, slots=True)
class RateMap:
    """A planned task made of a rate map. Rates feed machines: obey the product label, buffer zones and local rules.

    Parameters
    ----------
    source, target : str
        As named by the caller.
    task, field : str
        Identifier of the new task, and name of its field.
    quantities : tuple of MapQuantity
        What is set, in the order asked for.
    form : MapForm
        How it is stored.
    cells : int or None
        Cells of a grid.
    zones : int
        Treatment zones of the task, those without ground included.
    bill : tuple of BillLine
        A line for each quantity.
    rates : tuple of RateArea
        Ground of the field by rate as stored, quantity by quantity, the lowest rate first.
    method : str
        How rates came to zones or cells, in words.
    method_error : float or None
        Of irregular points the root mean square error by leave-one-out, in the unit of the first quantity.
    notes : tuple of (MapNote, str)
        What has to be known, with a name or figure.
    written : Conversion
        What was written, with its ledger, findings and new errors.
    """

    source: str
    target: str
    task: str
    field: str
    quantities: tuple[MapQuantity, ...]
    form: MapForm
    cells: int | None
    zones: int
    bill: tuple[BillLine, ...]
    rates: tuple[RateArea, ...]
    method: str
    method_error: float | None
    notes: tuple[tuple[MapNote, str], ...]
    written: Conversion
