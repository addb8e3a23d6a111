"""A map in fewer, larger cells.

Rates per area become the mean of the ground that a new cell covers, weighed by area, so that the sum of area x rate
stays; a mean is never above the largest rate that it covers. Zones, and values that are no rate per area, of which a
mean may mean nothing, become those of the largest part of the ground. Areas are those of the cells on the ellipsoid.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import ROUND_CEILING, Decimal

import numpy as np
from numpy.typing import NDArray

from taskdata.adapt.cells import CellMap, of_values, values_of
from taskdata.geometry.arrays import Floats
from taskdata.isoxml.binary.grid import GridPlacement
from taskdata.isoxml.tree.element import Element
from taskdata.quantities.dictionary import ddi_number, entry

_STEP = Decimal("1e-9")
_PER_AREA = "/m²"
_HAIR = 1e-6
"""What a cell weighs at least, as part of the largest: one that lies nowhere, such as beyond a pole, has no area."""


def coarser(cells: CellMap, columns: int, rows: int) -> CellMap:
    """Return a map in at most so many columns and rows, each cell what covers most of it.

    Parameters
    ----------
    cells : CellMap
        The map.
    columns, rows : int
        At least one.
    """
    across, up, areas, placement = _overlaps(cells, columns, rows)
    return CellMap(placement, _largest(cells.index, up * areas, across), cells.mixes)


def averaged(cells: CellMap, columns: int, rows: int) -> CellMap:
    """Return a map of setpoints in at most so many columns and rows: means of rates per area, else what covers most.

    Parameters
    ----------
    cells : CellMap
        A map whose mixes are for the same things in the same order, with a rate in every cell.
    columns, rows : int
        At least one.
    """
    across, up, areas, placement = _overlaps(cells, columns, rows)
    weights = up * areas
    whole = weights.sum(axis=1)[:, np.newaxis] * across.sum(axis=1)
    layers = []
    for setpoint, values in zip(cells.mixes[0].setpoints, np.moveaxis(values_of(cells), 2, 0), strict=True):
        if is_rate_per_area(setpoint):
            layers.append(np.rint(weights @ values @ across.T / whole).astype(np.int32))
        else:
            known, index = np.unique(values, return_inverse=True)
            layers.append(known[_largest(index.reshape(values.shape), weights, across)])
    return of_values(placement, np.stack(layers, axis=2), cells.mixes[0].setpoints)


def is_rate_per_area(setpoint: Element) -> bool:
    """Tell whether what a setpoint sets is an amount per area (ISO 11783-11)."""
    number = ddi_number(setpoint.get("ProcessDataDDI") or "")
    return number is not None and (entry(number).unit or "").endswith(_PER_AREA)


def laid_over(new: CellMap, old: CellMap) -> NDArray[np.int64]:
    """Return what the new map says in the middle of each cell of the old one it was made of: positions in its mixes."""
    rows, columns = (
        np.minimum(((np.arange(count) + 0.5) * float(before / after)).astype(int), most - 1)
        for count, before, after, most in (
            (old.placement.rows, old.placement.cell_north, new.placement.cell_north, new.placement.rows),
            (old.placement.columns, old.placement.cell_east, new.placement.cell_east, new.placement.columns),
        )
    )
    return new.index[np.ix_(rows, columns)]


def _overlaps(cells: CellMap, columns: int, rows: int) -> tuple[Floats, Floats, Floats, GridPlacement]:
    """Return how much of each column and row lies in each new one, the area of a cell of each row, the new cells."""
    old = cells.placement
    east, across = _overlap(old.cell_east, old.columns, columns)
    north, up = _overlap(old.cell_north, old.rows, rows)
    placement = replace(old, cell_east=east, cell_north=north, columns=len(across), rows=len(up))
    areas = np.nan_to_num(cells.row_areas())
    return across, up, np.maximum(areas, max(_HAIR * float(areas.max()), _HAIR)), placement


def _overlap(side: Decimal, count: int, most: int) -> tuple[Decimal, Floats]:
    """Return the side of a new cell in degrees, and how much of each old cell lies in each new one, (new, old)."""
    new = min(count, most)
    larger = side if new == count else (side * count / new).quantize(_STEP, rounding=ROUND_CEILING)
    new = min(new, int((side * count / larger).to_integral_value(ROUND_CEILING)))
    edges = np.arange(new + 1) * float(larger / side)
    old = np.arange(count)
    return larger, np.clip(np.minimum(edges[1:, None], old + 1) - np.maximum(edges[:-1, None], old), 0.0, 1.0)


def _largest(index: NDArray[np.int64], weights: Floats, across: Floats) -> NDArray[np.int64]:
    """Return for each new cell the value of ``index`` that covers most of it; of equals the smallest."""
    new_column, old_column = np.nonzero(across)
    part = across[new_column, old_column]
    found = np.empty((len(weights), len(across)), dtype=np.int64)
    for at, row_weights in enumerate(weights):
        rows = np.flatnonzero(row_weights)
        known, band = np.unique(index[rows], return_inverse=True)
        keys = new_column * len(known) + band.reshape(len(rows), -1)[:, old_column]
        covered = np.bincount(
            keys.ravel(), (row_weights[rows, np.newaxis] * part).ravel(), minlength=len(across) * len(known)
        )
        found[at] = known[np.argmax(np.round(covered.reshape(len(across), -1), 6), axis=1)]
    return found
