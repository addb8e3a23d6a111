"""Cells over a field, and rates that keep the totals: what falls on the ground of a cell, divided by that ground."""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.geometry.arrays import Floats
from taskdata.geometry.metres import degree_metres
from taskdata.geometry.patches import Shapes, cut, lattice_quads, shared_areas
from taskdata.geometry.plane import LocalPlane
from taskdata.isoxml.binary.grid import GridPlacement
from taskdata.rates.ground import RateGround

MOST_CELLS = 300_000
"""270 ha in cells of 3 m have as many; a terminal need not support more than 350 by 350 (ISO 11783-10, F.2.2)."""

_STEP = Decimal("1e-9")
_NO_GROUND_M2 = 1e-4


@dataclass(frozen=True, eq=False)
class Frame:
    """Cells over a field, row by row from the south-west.

    Parameters
    ----------
    placement : GridPlacement
        Where they lie, in degrees.
    inside : ndarray of geometry (rows x columns,)
        The ground of each cell in the field, metres; empty where there is none.
    field : geometry
        The ground of the field.
    plane : LocalPlane
        The plane that all of it lies in.
    """

    placement: GridPlacement
    inside: Shapes
    field: Any
    plane: LocalPlane

    @property
    def ground(self) -> Floats:
        """Area of that ground, m²; 0 where it is less than 1 cm²."""
        areas = np.asarray(shapely.area(self.inside), dtype=np.float64)
        return np.where(areas > _NO_GROUND_M2, areas, 0.0)


def frame_over(field: Any, plane: LocalPlane, cell_m: float, origin: ArrayLike | None) -> Frame:
    """Return square cells over a field.

    Parameters
    ----------
    field : geometry
        Its ground, metres of the plane.
    cell_m : float
        Side of a cell.
    origin : array_like (2,) or None
        Longitude and latitude of a place that the middle of a cell lies at, so that passes along a line from there to
        the north or east run along the middles of cells. None = the south-west corner of the field.

    Raises
    ------
    UsageError
        There are too many cells, or they cross 180 degrees.
    """
    lonlat = plane.inverse(shapely.get_coordinates(field))
    (west, south), (east, north) = lonlat.min(axis=0).tolist(), lonlat.max(axis=0).tolist()
    if east - west > 180.0:
        raise UsageError("a grid cannot cross 180 degrees of longitude", remedy="Choose [[form=zones]]")
    per_east, per_north = degree_metres((south + north) / 2.0)
    sides = [_decimal(cell_m / float(per)) for per in (per_east, per_north)]
    begin = [_decimal(west), _decimal(south)] if origin is None else [_decimal(float(at)) for at in np.ravel(origin)]
    half = 0 if origin is None else Decimal("0.5")
    ends = ((west, east), (south, north))
    first = [
        math.floor((Decimal(repr(low)) - start) / side + half)
        for (low, _), start, side in zip(ends, begin, sides, strict=True)
    ]
    corner = [((at - half) * side + start).quantize(_STEP) for at, start, side in zip(first, begin, sides, strict=True)]
    columns, rows = (
        max(1, math.ceil((Decimal(repr(high)) - start) / side))
        for (_, high), start, side in zip(ends, corner, sides, strict=True)
    )
    _refuse_many(columns, rows, cell_m)
    if corner[0] < -180 or corner[0] + columns * sides[0] > 180:
        raise UsageError("a grid cannot cross 180 degrees of longitude", remedy="Choose [[form=zones]]")
    placement = GridPlacement(corner[1], corner[0], sides[1], sides[0], columns, rows)
    return Frame(placement, cut(_shapes(placement, plane), field), field, plane)


def cell_rates(frame: Frame, ground: RateGround, gap: Sequence[float]) -> Floats:
    """Return the rate of each cell and quantity, (cells, q); NaN where a cell has no ground in the field."""
    shared = shared_areas(frame.inside, ground.shapes)
    area, count = frame.ground, len(frame.inside)
    rates = np.full((count, ground.rates.shape[1]), np.nan)
    for quantity, column in enumerate(ground.rates.T):
        known = np.isfinite(column)[shared.patch]
        cell, part = shared.cell[known], shared.area[known]
        applied = np.bincount(cell, part * column[shared.patch[known]], minlength=count)
        covered = np.bincount(cell, part, minlength=count)
        amount = applied + gap[quantity] * np.maximum(area - covered, 0.0)
        np.divide(amount, np.maximum(area, covered), out=rates[:, quantity], where=area > 0.0)
    return rates


def _shapes(placement: GridPlacement, plane: LocalPlane) -> Shapes:
    north, east = placement.edges()
    lon, lat = np.meshgrid(east, north)
    nodes = plane.forward(np.column_stack([lon.ravel(), lat.ravel()]))
    return lattice_quads(nodes.reshape(len(north), len(east), 2))


def _refuse_many(columns: int, rows: int, cell_m: float) -> None:
    if columns * rows > MOST_CELLS:
        enough = math.ceil(cell_m * math.sqrt(columns * rows / MOST_CELLS))
        what = f"cells of {cell_m:g} m make {columns * rows:,} cells, more than {MOST_CELLS:,}"
        raise UsageError(what, remedy=f"Give cells of {enough} m or more ([[cell_m]])")


def _decimal(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(_STEP, rounding=ROUND_HALF_EVEN)
