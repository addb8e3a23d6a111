"""The zones and the grid of a task that hold a rate map (ISO 11783-10, 6.8.1, 8.6.2, D.27, D.46, D.50)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.geometry.patches import Shapes, ring_points, solid_parts, united
from taskdata.geometry.plane import LocalPlane
from taskdata.isoxml.binary.grid import GridPlacement
from taskdata.model.machines import Product
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.tasks import Grid, Setpoint, Zone
from taskdata.quantities.application import rates_of
from taskdata.rates.map_request import WantedRate

CODES = 255
"""Zones have the codes 0 to 254 (D.50)."""

GRID_FILE = "GRD00001"

_LEAST_PART_M2 = 0.01
_NAME_LENGTH = 32


@dataclass(frozen=True, slots=True)
class Setter:
    """What is set by one quantity: the rate as asked for, its product, and the identifier of the device element."""

    wanted: WantedRate
    product: Product | None = None
    part: str | None = None

    def setpoint(self, raw: int) -> Setpoint:
        """Return a setpoint."""
        return Setpoint(self.wanted.entry.ddi, raw, None if self.product is None else self.product.id, self.part)

    def text(self, raw: int) -> str:
        """Return a rate in its unit."""
        return f"{rates_of(np.array([raw]), self.wanted.unit, self.wanted.entry)[0]:.6g} {self.wanted.unit.name}"


@dataclass(frozen=True, slots=True)
class Fallback:
    """Raw rates of each quantity for gaps, for a lost position, and outside the field."""

    gap: tuple[int, ...]
    lost: tuple[int, ...]
    outside: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class TaskRates:
    """What a task holds of a rate map: its zones, its grid, and the codes of the zones that it names."""

    zones: tuple[Zone, ...]
    default: int
    lost: int
    outside: int
    grid: Grid | None = None


@dataclass
class _Zones:
    """Zones being made, each with the next code."""

    zones: list[Zone] = field(default_factory=list)

    def add(self, setters: Sequence[Setter], raw: Sequence[int], areas: tuple[Area, ...] = ()) -> int:
        """Add a zone with a setpoint of each setter, and return its code."""
        pairs = list(zip(setters, raw, strict=True))
        name = " + ".join(setter.text(value) for setter, value in pairs)
        setpoints = tuple(setter.setpoint(value) for setter, value in pairs)
        code = len(self.zones) + 1 if len(self.zones) < CODES - 1 else 0
        self.zones.append(Zone(code, name if len(name) <= _NAME_LENGTH else None, areas=areas, setpoints=setpoints))
        return code

    def finished(
        self, setters: Sequence[Setter], rule: Fallback, known: dict[tuple[int, ...], int], grid: Grid | None = None
    ) -> TaskRates:
        """Return everything, with a zone for each different fallback; ``known`` are zones that serve as such."""
        codes = dict(known)
        for raw in (rule.gap, rule.lost, rule.outside):
            if raw not in codes:
                codes[raw] = self.add(setters, raw)
        _refuse_many(len(self.zones))
        return TaskRates(tuple(self.zones), codes[rule.gap], codes[rule.lost], codes[rule.outside], grid)


def as_zones(
    shapes: Shapes,
    raw: NDArray[np.int64],
    plane: LocalPlane,
    setters: Sequence[Setter],
    rule: Fallback,
    *,
    single: bool,
) -> TaskRates:
    """Return zones with polygons, one for each different rate.

    Parameters
    ----------
    shapes : ndarray of geometry (m,)
        Patches, metres of the plane.
    raw : int64 (m, q)
        Their rates.
    single : bool
        A zone with polygons holds one setpoint, so that there are zones for each quantity (6.8.1.2, from version 4).

    Raises
    ------
    UsageError
        There are more different rates than codes.
    """
    made = _Zones()
    groups = [(raw[:, [at]], [setter]) for at, setter in enumerate(setters)] if single else [(raw, setters)]
    found = [(*np.unique(values, axis=0, return_inverse=True), those) for values, those in groups]
    _refuse_many(sum(len(values) for values, _, _ in found) + len({rule.gap, rule.lost, rule.outside}))
    for values, inverse, those in found:
        for value, shape in zip(values.tolist(), united(shapes, inverse.ravel(), len(values)), strict=True):
            areas = tuple(_area(part, plane) for part in solid_parts(shape, _LEAST_PART_M2))
            if areas:
                made.add(those, value, areas)
    return made.finished(setters, rule, {})


def as_codes(
    raw: NDArray[np.int64],
    has_ground: NDArray[np.bool_],
    placement: GridPlacement,
    setters: Sequence[Setter],
    rule: Fallback,
) -> TaskRates:
    """Return a grid of zone codes with a zone for each different mix of rates; cells outside have the outside rate.

    Raises
    ------
    UsageError
        There are more different mixes than codes.
    """
    made = _Zones()
    whole = np.where(has_ground[:, np.newaxis], raw, np.array(rule.outside))
    values, inverse = np.unique(whole, axis=0, return_inverse=True)
    _refuse_many(len(values))
    known = {tuple(value): made.add(setters, value) for value in values.tolist()}
    codes = np.array([known[tuple(value)] for value in values.tolist()], dtype=np.uint8)
    cells = codes[inverse.ravel()].reshape(placement.rows, placement.columns)
    return made.finished(setters, rule, known, _grid(1, placement, cells))


def as_setpoints(
    raw: NDArray[np.int64],
    has_ground: NDArray[np.bool_],
    placement: GridPlacement,
    setters: Sequence[Setter],
    rule: Fallback,
) -> TaskRates:
    """Return a grid of setpoints with its template zone; cells outside the field have the outside rate."""
    template = Zone(1, setpoints=tuple(setter.setpoint(0) for setter in setters))
    made = _Zones([template])
    whole = np.where(has_ground[:, np.newaxis], raw, np.array(rule.outside)).astype(np.int32)
    cells = whole.reshape(placement.rows, placement.columns, len(setters))
    return made.finished(setters, rule, {}, _grid(2, placement, cells, template.code, template.setpoints))


def _grid(
    kind: int,
    placement: GridPlacement,
    cells: NDArray[np.generic],
    template: int | None = None,
    setpoints: tuple[Setpoint, ...] = (),
) -> Grid:
    return Grid(
        file=GRID_FILE,
        kind=kind,
        min_lat=float(placement.min_north),
        min_lon=float(placement.min_east),
        cell_lat=float(placement.cell_north),
        cell_lon=float(placement.cell_east),
        columns=placement.columns,
        rows=placement.rows,
        read=lambda: cells,
        template=template,
        setpoints=setpoints,
    )


def _area(polygon: object, plane: LocalPlane) -> Area:
    outer, *holes = (plane.inverse(ring) for ring in ring_points(polygon))
    return Area(AreaKind.TREATMENT_ZONE, (outer,), tuple(holes))


def _refuse_many(zones: int) -> None:
    if zones > CODES:
        raise UsageError(
            f"the map has {zones} different rates, and a task has {CODES} codes of zones",
            remedy="Put them into classes ([[classes=8]]), round them ([[round_to]]), or choose [[form=grid2]]",
        )
