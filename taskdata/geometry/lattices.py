"""Points that lie on a lattice of two directions at right angles, and the cells around them."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.patches import Shapes, quads

STRAY = 0.15
"""How far a point may lie from its place in the lattice, as part of the shorter step."""

_LEAST_FILLED = 0.1
_SAME_ROW = 0.3


@dataclass(frozen=True, eq=False)
class Lattice:
    """A lattice through points.

    Parameters
    ----------
    origin, first, second : float64 (2,)
        A place of it, and the steps along its two directions, metres.
    places : int (n, 2)
        How many steps each point is from the origin.
    """

    origin: Floats
    first: Floats
    second: Floats
    places: NDArray[np.int64]

    @property
    def step_m(self) -> float:
        """The shorter step."""
        return float(min(np.hypot(*self.first), np.hypot(*self.second)))

    def cells(self) -> Shapes:
        """Return the cell around each point, (n,); neighbours share their corners exactly."""
        offsets = np.array([(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)])
        corners = self.places[:, np.newaxis, :] + offsets
        return quads(self.origin + corners[:, :, :1] * self.first + corners[:, :, 1:] * self.second)


def lattice_of(points: Points) -> Lattice | None:
    """Return the lattice that points lie on, None where they lie on none, or two of them on one place of it.

    Points may be missing, as outside a field; the lattice may be turned.

    Parameters
    ----------
    points : float64 (n, 2)
        Metres of a plane.
    """
    if len(points) < 4:
        return None
    steps, _ = nearest_steps(points)
    lengths = np.hypot(*steps.T)
    short = float(np.median(lengths))
    if not short > 0.0:
        return None
    angles = np.arctan2(steps[:, 1], steps[:, 0])
    turn = math.atan2(float(np.sin(4.0 * angles).mean()), float(np.cos(4.0 * angles).mean())) / 4.0
    axes = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    numbers = [_numbers(column, short) for column in (points @ axes.T).T]
    if any(column is None for column in numbers):
        return None
    places = np.stack([column for column in numbers if column is not None], axis=1)
    return _fitted(points, places)


def nearest_steps(points: Points) -> tuple[Points, NDArray[np.intp]]:
    """Return the step from each point to its nearest other one, (n, 2), and which that is; (0, 0) where two are one."""
    shapes = shapely.points(points)
    own, other = shapely.STRtree(shapes).query_nearest(shapes, exclusive=False, all_matches=True)
    twins = own != other
    step, found = np.full((len(points), 2), np.nan), np.zeros(len(points), dtype=np.intp)
    step[own[twins]], found[own[twins]] = 0.0, other[twins]
    alone = np.flatnonzero(~np.isfinite(step[:, 0]))
    near, far = shapely.STRtree(shapes).query_nearest(shapes[alone], exclusive=True, all_matches=False)
    step[alone[near]], found[alone[near]] = points[far] - points[alone[near]], far
    return step, found


def _numbers(values: Floats, short: float) -> NDArray[np.int64] | None:
    """Return which row each value lies in; rows are a common step apart, or several of it. None for a single row."""
    order = np.argsort(values, kind="stable")
    gaps = np.diff(values[order])
    wide = gaps > _SAME_ROW * short
    if not wide.any():
        return None
    row = np.concatenate([[0], np.cumsum(wide)])
    middles = np.bincount(row, values[order]) / np.bincount(row)
    between = np.diff(middles)
    step = float(np.median(between))
    found = np.concatenate([[0], np.cumsum(np.rint(between / step))]).astype(np.int64)
    result = np.empty(len(values), dtype=np.int64)
    result[order] = found[row]
    return result


def _fitted(points: Points, places: NDArray[np.int64]) -> Lattice | None:
    """Return the lattice that fits points best at these places, None where one is astray or two share a place."""
    if len(np.unique(places, axis=0)) < len(places):
        return None
    spans = places.max(axis=0) - places.min(axis=0) + 1
    if len(places) < _LEAST_FILLED * float(spans.prod()):
        return None
    design = np.column_stack([np.ones(len(places)), places])
    fit, *_ = np.linalg.lstsq(design, points, rcond=None)
    found = Lattice(fit[0], fit[1], fit[2], places)
    stray = np.hypot(*(design @ fit - points).T).max()
    return found if stray <= STRAY * found.step_m else None
