"""Lines with a width as cells: what a bar of that width sweeps along them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import lengths
from taskdata.geometry.swaths.cells import SAME_M, Cells, Indices


def cells_along(lines: Sequence[Any], width_m: Floats, row: Indices) -> Cells:
    """Return the cells of lines, as many to each as it has steps, in the direction of their points.

    Parameters
    ----------
    lines : sequence of shapely LineString
        In metres.
    width_m, row : ndarray
        (n,) metres, and the row of each line.
    """
    starts, ends, rows = [], [], []
    for line, width, number in zip(lines, width_m.tolist(), row.tolist(), strict=True):
        points = shapely.get_coordinates(line)
        points = points[np.concatenate([[True], lengths(np.diff(points, axis=0)) > SAME_M])]
        if len(points) < 2:
            continue
        across = _across(points) * width / 2.0
        bars = np.stack([points - across, points + across], axis=1)
        starts.append(bars[:-1])
        ends.append(bars[1:])
        rows.append(np.full(len(points) - 1, number))
    if not starts:
        empty = np.empty(0, dtype=np.intp)
        return Cells(np.empty((0, 2, 2)), np.empty((0, 2, 2)), empty, empty)
    every = np.concatenate(rows)
    return Cells.of(np.concatenate(starts), np.concatenate(ends), every, np.arange(len(every)))


def _across(points: Points) -> Points:
    """Return the unit vector to the right of a line at each of its points: square to the steps before and after."""
    steps = np.diff(points, axis=0)
    steps /= lengths(steps)[:, np.newaxis]
    way = np.concatenate([steps[:1], steps[1:] + steps[:-1], steps[-1:]])
    way /= np.maximum(lengths(way), 1e-9)[:, np.newaxis]
    return np.column_stack([way[:, 1], -way[:, 0]])
