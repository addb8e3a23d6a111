"""Which two edges of an outline are the places of the bar: what each reading of it speaks for."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats
from taskdata.geometry.swaths.cells import Cells, Indices
from taskdata.geometry.swaths.links import chains, linked

WIDEST_M = 60.0
"""No bar is wider (common practice): what goes on for longer is a pass."""

_CLOSE, _LONGER = 0.1, 1.5
_TOLD, _AGREED = 0.5, 0.9
"""Share of the cells that have to be told apart, and by how much more have to agree, for the others to follow."""

_BESIDE = 100.0
"""Cells that are farther apart in the order of driving are not of one pass, nor sections side by side."""

Signs = NDArray[np.int8]
_TURNED = np.cos(np.radians(30.0))


@dataclass(frozen=True, eq=False)
class Stated:
    """What rows say of cells, (n,) each: working width in metres and heading in degrees, NaN where they do not.

    ``order`` is the number of each cell in the order of driving, None where that is not known.
    """

    width_m: Floats
    heading_deg: Floats
    order: Floats | None = None

    def of(self, chosen: NDArray[np.generic]) -> Stated:
        """Return what is said of some of them."""
        order = None if self.order is None else self.order[chosen]
        return Stated(self.width_m[chosen], self.heading_deg[chosen], order)


def chosen(cells: Cells, stated: Stated, gap_m: float) -> Indices:
    """Return which reading of each cell holds.

    What speaks for a reading, the first that tells the two apart: a bar not wider than any is; the stated width, within
    a tenth; the stated heading, within 30 degrees; the longer chain of cells that have their bars in common, up to what
    no bar is wide; the corner that its outline begins with, where nearly all that are told apart by now agree on it;
    the longer chain of cells that lie near each other; the longer bar. Chains are cut where the order of driving jumps.

    Parameters
    ----------
    cells : Cells
        Readings, one or two of a cell.
    stated : Stated
        Of each reading.
    gap_m : float
        As for `linked`.
    """
    by_cell = np.argsort(cells.cell, kind="stable")
    number = cells.cell[by_cell]
    first = np.flatnonzero(np.concatenate([[True], number[1:] != number[:-1]]))
    double = np.diff(np.append(first, len(number))) == 2
    one, other = by_cell[first[double]], by_cell[first[double] + 1]

    def preferred(said: Signs, vote: Floats) -> Signs:
        return np.where(said == 0, np.sign(vote[one] - vote[other]).astype(np.int8), said)

    said = preferred(np.zeros(len(one), dtype=np.int8), np.where(cells.width <= WIDEST_M, 1.0, 0.0))
    said = preferred(said, _by_width(cells, stated))
    said = preferred(said, _by_heading(cells, stated))
    said = preferred(said, _by_metres(cells, stated, linked(cells, gap_m, stated.order, same=True)))
    said = _by_convention(said)
    if (said == 0).any():
        said = preferred(said, _by_metres(cells, stated, linked(cells, gap_m, stated.order)))
    said = preferred(said, cells.width)
    return np.sort(np.concatenate([by_cell[first[~double]], np.where(said >= 0, one, other)]))


def _by_convention(said: Signs) -> Signs:
    """Return preferences of which those that say nothing follow the others, where these agree."""
    told = said[said != 0]
    if not len(told) or len(told) < _TOLD * len(said) or abs(float(told.mean())) < _AGREED:
        return said
    return np.where(said == 0, np.sign(told.mean()).astype(np.int8), said)


def _by_width(cells: Cells, stated: Stated) -> Floats:
    off = np.abs(cells.width / stated.width_m - 1.0)
    return np.where(off < _CLOSE, 1.0, 0.0)


def _by_heading(cells: Cells, stated: Stated) -> Floats:
    angle = np.radians(stated.heading_deg)
    unit = cells.motion / np.maximum(cells.length, 1e-9)[:, np.newaxis]
    along = np.abs(unit[:, 0] * np.sin(angle) + unit[:, 1] * np.cos(angle))
    return np.where(along > _TURNED, 1.0, 0.0)


def _by_metres(cells: Cells, stated: Stated, partner: Indices) -> Floats:
    """Return how long the chain of each reading is: steps of half as long again, up to above the width of any bar.

    One that is alone has no chain.
    """
    metres, order = np.zeros(len(cells.row)), stated.order
    for chain in chains(partner):
        along = cells.length[chain.cells]
        jumps = np.empty(0) if order is None else np.abs(np.diff(order[chain.cells])) > _BESIDE
        stretch = np.concatenate([[0], np.cumsum(jumps, dtype=np.intp)]) if order is not None else 0 * chain.cells
        several = np.bincount(stretch) > 1
        metres[chain.cells] = (np.bincount(stretch, along) * several)[stretch]
    return np.asarray(np.floor(np.log(np.clip(metres, 0.01, WIDEST_M * _LONGER)) / np.log(_LONGER)))
