"""Irregular points as rates of cells: means where points lie, and else what the nearest means say.

A cell with points has their mean. Any other gets the mean of the eight nearest such means, weighed by the inverse
square of their distance, and nothing where none is near. How well that does is measured by leaving out each mean in
turn and predicting it from the others.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.lattices import nearest_steps
from taskdata.geometry.neighbours import FEW, weighed
from taskdata.geometry.plane import LocalPlane
from taskdata.isoxml.binary.grid import GridPlacement
from taskdata.rates.cells import Frame
from taskdata.rates.ground import Notes, RateGround, within

REACH = 3.0
"""A mean says nothing beyond so many times the usual distance from one to the next (common practice)."""


@dataclass(frozen=True, eq=False)
class _Means:
    """Means of points by cell: row and column, place of the mean in metres, and values; (k, 2), (k, 2), (k, q)."""

    cells: NDArray[np.int64]
    places: Points
    values: Floats


def spread(lonlat: Points, rates: Floats, frame: Frame, notes: Notes) -> RateGround:
    """Return the rates that irregular points give to the cells of a frame.

    Parameters
    ----------
    lonlat : float64 (n, 2)
        Points in degrees.
    rates : float64 (n, q)
        Their rates, NaN where there is none.
    frame : Frame
        Cells over the field.
    notes : list
        What has to be told is added.

    Raises
    ------
    UsageError
        No point lies in or near the field.
    """
    means = _means(lonlat, rates, frame.plane, frame.placement)
    steps, _ = nearest_steps(means.places) if len(means.places) > 1 else (np.zeros((1, 2)), None)
    usual = float(np.median(np.hypot(*steps.T)))
    cell_m = float(np.sqrt(shapely.area(frame.inside).max()))
    reach = REACH * max(usual, cell_m)
    wanted = frame.ground > 0.0
    middles = shapely.get_coordinates(shapely.centroid(frame.inside[wanted]))
    found = weighed(means.places, means.values, middles, reach)
    own = _positions(means.cells, frame.placement)
    filled = np.full((len(frame.inside), rates.shape[1]), np.nan)
    filled[wanted] = found
    inside = own >= 0
    known = np.isfinite(means.values[inside])
    filled[own[inside]] = np.where(known, means.values[inside], filled[own[inside]])
    ground = within(frame.field, frame.inside[wanted], filled[wanted], notes)
    error = _error(means, reach)
    return RateGround(ground.field, ground.shapes, ground.rates, _told(len(lonlat), means, reach, error), error)


def _means(lonlat: Points, rates: Floats, plane: LocalPlane, placement: GridPlacement) -> _Means:
    corner = np.array([float(placement.min_east), float(placement.min_north)])
    sides = np.array([float(placement.cell_east), float(placement.cell_north)])
    turned = (lonlat[:, 0] - corner[0] + 180.0) % 360.0 - 180.0
    at = np.floor(np.column_stack([turned, lonlat[:, 1] - corner[1]]) / sides).astype(np.int64)
    cells, owner = np.unique(at, axis=0, return_inverse=True)
    owner = owner.ravel()
    points, count = plane.forward(lonlat), len(cells)
    number = np.bincount(owner, minlength=count)
    places = np.column_stack([np.bincount(owner, column, minlength=count) / number for column in points.T])
    values = np.full((count, rates.shape[1]), np.nan)
    for quantity, column in enumerate(rates.T):
        known = np.isfinite(column)
        whole = np.bincount(owner[known], minlength=count)
        sums = np.bincount(owner[known], column[known], minlength=count)
        np.divide(sums, whole, out=values[:, quantity], where=whole > 0)
    return _Means(cells, places, values)


def _positions(cells: NDArray[np.int64], placement: GridPlacement) -> NDArray[np.int64]:
    """Return the position of cells in a frame, -1 of those beyond it."""
    column, row = cells.T
    there = (column >= 0) & (column < placement.columns) & (row >= 0) & (row < placement.rows)
    return np.where(there, row * placement.columns + column, -1)


def _error(means: _Means, reach: float) -> float | None:
    """Return the root mean square error of predicting each mean of the first quantity; None where none can be."""
    values = means.values[:, :1]
    predicted = weighed(means.places, values, means.places, reach, others=True)
    missed = (predicted - values)[np.isfinite(predicted) & np.isfinite(values)]
    return float(np.sqrt(np.mean(missed**2))) if len(missed) else None


def _told(count: int, means: _Means, reach: float, error: float | None) -> str:
    known = "not known: no mean has a neighbour" if error is None else f"{error:.4g}"
    return (
        f"{count} irregular points: a cell with points has their mean ({len(means.cells)} cells), any other the mean "
        f"of the {FEW} nearest such means within {reach:.0f} m, weighed by the inverse square of distance. Predicting "
        f"each mean from the others alone errs by {known} (root mean square, in the unit of the first rate)."
    )
