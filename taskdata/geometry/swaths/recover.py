"""Swept outlines, or lines with a width, back to passes: width, track, order and direction."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats
from taskdata.geometry.swaths.beside import whole_bars
from taskdata.geometry.swaths.broad_lines import cells_along
from taskdata.geometry.swaths.cells import Cells, Indices, cells_of
from taskdata.geometry.swaths.driven import in_order
from taskdata.geometry.swaths.passes import Pass, passes_of
from taskdata.geometry.swaths.readings import Stated, chosen
from taskdata.geometry.swaths.widths import Width, full_width

GAP_M = 0.5
"""Metres up to which cells that lie apart or overlap still go on from each other."""

_STATED, _TOUCHING, _BESIDE = 0.9, 0.6, 1.5
"""Share of rows that say when, share that touch the row before, and widths between lines that lie side by side."""


class Basis(StrEnum):
    """What tells the order of driving."""

    TIME = "times"
    ORDER = "numbers"
    ROWS = "the order of the rows"
    NONE = "nothing"


@dataclass(frozen=True, eq=False)
class Rows:
    """What n rows say, each (n,) or None; NaN where a row does not say it.

    Parameters
    ----------
    time, order : ndarray or None
        Seconds, and numbers in the order of driving.
    width_m, heading_deg : ndarray or None
    directed : ndarray or None
        Bool: the points of a line go as it was driven; None = every line does.
    in_order : bool
        The rows may be in the order of driving.
    """

    time: Floats | None = None
    order: Floats | None = None
    width_m: Floats | None = None
    heading_deg: Floats | None = None
    directed: NDArray[np.bool_] | None = None
    in_order: bool = True


@dataclass(frozen=True, eq=False)
class Recovered:
    """Passes in the order of driving, as far as that is known.

    Parameters
    ----------
    passes : tuple of Pass
    directed : tuple of bool
        Whether the direction of each is known.
    basis : Basis
        What told their order.
    width : Width or None
        Of the whole bar; None without a pass.
    drawn_m : float or None
        Width of single outlines, which may be those of sections; None without any.
    aside : ndarray
        (k,) positions of the outlines that are no strip.
    """

    passes: tuple[Pass, ...]
    directed: tuple[bool, ...]
    basis: Basis
    width: Width | None
    aside: Indices
    drawn_m: float | None = None


def recover(shapes: Sequence[Any] | NDArray[Any], row: Indices, rows: Rows, gap_m: float = GAP_M) -> Recovered:
    """Return the passes that outlines or lines are.

    Parameters
    ----------
    shapes : sequence of shapely Polygon or LineString
        In metres, single and not empty; lines count where their row has a width.
    row : ndarray
        (m,) the row that each is of.
    rows : Rows
    gap_m : float
        As for `linked`.
    """
    every = np.asarray(shapes, dtype=object)
    linear = shapely.get_type_id(every) == shapely.GeometryType.LINESTRING
    basis, order = order_of(every, row, rows)
    widths = _of(rows.width_m, row)
    broad = linear & (np.nan_to_num(widths) > 0.0)
    along = cells_along(every[broad], widths[broad], row[broad])
    outlined, aside = cells_of(every[~linear], row[~linear])
    if len(outlined.row):
        outlined = outlined.take(chosen(outlined, _stated(outlined, rows, order), gap_m))
    time = _of(rows.time, outlined.row) if basis is Basis.TIME else None
    swept = whole_bars(outlined, time) if len(outlined.row) else outlined
    cells = swept.joined(along)
    left = np.sort(np.concatenate([np.flatnonzero(~linear)[aside], np.flatnonzero(linear & ~broad)]))
    if not len(cells.row):
        return Recovered((), (), basis, None, left)
    width = full_width(cells.width, cells.length)
    lined = np.arange(len(cells.row)) >= len(swept.row)
    if rows.directed is not None:
        lined &= rows.directed[cells.row]
    driven = in_order(cells, lined, _stated(cells, rows, order), gap_m)
    kept = [(part, known) for chain, known in driven for part in passes_of(chain, cells, width.metres)]
    drawn = full_width(outlined.width, outlined.length).metres if len(outlined.row) else None
    return Recovered(tuple(part for part, _ in kept), tuple(known for _, known in kept), basis, width, left, drawn)


def _stated(cells: Cells, rows: Rows, order: Floats | None) -> Stated:
    return Stated(_of(rows.width_m, cells.row), _of(rows.heading_deg, cells.row), _ranked(cells, order))


def _of(values: Floats | None, row: Indices) -> Floats:
    return np.full(len(row), np.nan) if values is None else values[row]


def _ranked(cells: Cells, order: Floats | None) -> Floats | None:
    """Return the number of each cell in the order of driving; cells of one row lie between it and the next."""
    if order is None or not len(cells.row):
        return None
    sequence = np.lexsort((cells.cell, cells.row))
    row = cells.row[sequence]
    first = np.flatnonzero(np.concatenate([[True], row[1:] != row[:-1]]))
    spans = np.diff(np.append(first, len(row)))
    since = cells.cell[sequence] - np.repeat(cells.cell[sequence][first], spans)
    share = np.empty(len(row))
    share[sequence] = since / (1.0 + np.repeat(since[first + spans - 1], spans)) / 2.0
    return np.asarray(order[cells.row] + share)


def order_of(shapes: NDArray[Any], row: Indices, rows: Rows) -> tuple[Basis, Floats | None]:
    """Return what tells the order of driving, and the number of each row in it; None where nothing does.

    Times tell it, else numbers, where nine of ten rows have one and they differ; else the order of the rows, where most
    touch the one before.
    """
    for basis, values in ((Basis.TIME, rows.time), (Basis.ORDER, rows.order)):
        if values is not None and np.isfinite(values).mean() >= _STATED and len(np.unique(values)) > 1:
            return basis, np.unique(values, return_inverse=True)[1].astype(np.float64)
    if not rows.in_order or not _go_on(shapes, row, rows):
        return Basis.NONE, None
    return Basis.ROWS, np.arange(int(row.max(initial=0)) + 1, dtype=np.float64)


def _go_on(shapes: NDArray[Any], row: Indices, rows: Rows) -> bool:
    """Tell whether most rows lie beside the one before."""
    new = np.flatnonzero(np.diff(row) > 0)
    if not len(new):
        return len(shapes) > 0
    reach = np.maximum(GAP_M, _BESIDE * np.nan_to_num(_of(rows.width_m, row[new])))
    linear = shapely.get_type_id(shapes[new]) == shapely.GeometryType.LINESTRING
    near = shapely.distance(shapes[new], shapes[new + 1]) <= np.where(linear, reach, GAP_M)
    return bool(near.mean() >= _TOUCHING)
