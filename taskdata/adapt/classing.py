"""A map of many different rates as one of few classes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.adapt.cells import CellMap, of_values, rates_of
from taskdata.adapt.resampling import is_rate_per_area
from taskdata.geometry.arrays import Floats

MOST_CHANGE = 0.1
"""A rate may change by this share of itself at most."""


def classed(cells: CellMap, most: int) -> CellMap | None:
    """Return a map of setpoints with at most so many different mixes; None where a rate would change too much.

    Rates per area are put into classes of equal width, as many as there is room for. Each class applies the mean of its
    ground, so that the sum of area x rate stays; what is not applied at all stays so, and all else stays as it is.

    Parameters
    ----------
    cells : CellMap
        A map whose mixes are for the same things in the same order, with a rate in every cell.
    most : int
        How many mixes there is room for.
    """
    rates, setpoints = rates_of(cells), cells.mixes[0].setpoints
    ground = np.repeat(cells.row_areas(), cells.placement.columns)
    areas = np.bincount(cells.index.ravel(), ground, len(rates)).astype(np.float64)
    fewest, too_many, best = 0, most + 1, None
    while too_many - fewest > 1:
        classes = (fewest + too_many) // 2
        layers = [
            _means(layer, areas, classes) if is_rate_per_area(setpoint) else layer
            for setpoint, layer in zip(setpoints, rates.T, strict=True)
        ]
        found = np.stack(layers, axis=1)
        if len(np.unique(found, axis=0)) <= most:
            fewest, best = classes, found
        else:
            too_many = classes
    if best is None or (np.abs(best - rates) > MOST_CHANGE * np.abs(rates)).any():
        return None
    return of_values(cells.placement, best.astype(np.int32)[cells.index], setpoints)


def _means(values: NDArray[np.int64], areas: Floats, classes: int) -> NDArray[np.int64]:
    """Return for each value the mean of its class, by area; 0 is a class of its own."""
    low, high = int(values.min()), int(values.max())
    number = np.where(values == 0, classes, (values - low) * classes // (high - low + 1))
    whole = np.bincount(number, areas, minlength=classes + 1)
    sums = np.bincount(number, areas * values, minlength=classes + 1)
    means = np.divide(sums, whole, out=np.zeros_like(sums), where=whole > 0)
    return np.rint(means).astype(np.int64)[number]
