"""Chains of cells in the order and direction in which they were driven."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.swaths.cells import Cells
from taskdata.geometry.swaths.links import Chain, chains, linked
from taskdata.geometry.swaths.readings import Stated

_AGREED, _SIDED = 0.8, 0.5


def in_order(cells: Cells, lined: NDArray[np.bool_], stated: Stated, gap_m: float) -> list[tuple[Chain, bool]]:
    """Return chains as driven, and whether the direction of each is known.

    Most steps from cell to cell have to agree on the direction: the order tells it, along a line its points do; else
    the stated heading. Without an order chains go from left to right of the direction that most of them have, all in
    that direction.

    Parameters
    ----------
    cells : Cells
    lined : ndarray
        (n,) bool: the cell is of a line, whose points have a direction.
    stated : Stated
        Of each cell.
    gap_m : float
        As for `linked`.
    """
    found = [_as_driven(chain, cells, lined, stated) for chain in chains(linked(cells, gap_m, stated.order))]
    if stated.order is not None:
        number = stated.order
        return sorted(found, key=lambda item: float(number[item[0].cells].min()))
    axis = _usual_way(cells)
    laid = [(chain if known else _along(chain, cells, axis), known) for chain, known in found]
    right = np.array([axis[1], -axis[0]])
    middle = (cells.start.mean(axis=1) + cells.end.mean(axis=1)) / 2.0
    return sorted(laid, key=lambda item: float((middle[item[0].cells] @ right).mean()))


def _as_driven(chain: Chain, cells: Cells, lined: NDArray[np.bool_], stated: Stated) -> tuple[Chain, bool]:
    votes = [np.where(chain.back, -1.0, 1.0)[lined[chain.cells]]]
    if stated.order is not None:
        steps = np.sign(np.diff(np.floor(stated.order[chain.cells])))
        votes.append(steps[steps != 0.0])
    said = np.concatenate(votes)
    if not len(said) or abs(float(said.mean())) < 2.0 * _AGREED - 1.0:
        said = _by_heading(chain, cells, stated)
    if not len(said) or abs(float(said.mean())) < 2.0 * _AGREED - 1.0:
        return chain, False
    return (chain if said.mean() > 0.0 else _reversed(chain)), True


def _by_heading(chain: Chain, cells: Cells, stated: Stated) -> Floats:
    """Return +1 for each cell that goes the way its stated heading does, and -1 for one that goes against it."""
    angle = np.radians(stated.heading_deg[chain.cells])
    motion, size = cells.motion[chain.cells], np.maximum(cells.length[chain.cells], 1e-9)
    along = (motion[:, 0] * np.sin(angle) + motion[:, 1] * np.cos(angle)) / size * np.where(chain.back, -1.0, 1.0)
    return np.sign(along[np.abs(along) > _SIDED])


def _reversed(chain: Chain) -> Chain:
    return Chain(chain.cells[::-1], ~chain.back[::-1])


def _along(chain: Chain, cells: Cells, axis: Points) -> Chain:
    way = (cells.motion[chain.cells] * np.where(chain.back, -1.0, 1.0)[:, np.newaxis]).sum(axis=0)
    return chain if float(way @ axis) >= 0.0 else _reversed(chain)


def _usual_way(cells: Cells) -> Points:
    """Return the unit vector that most of the way lies along, to the north or east of it."""
    motion = cells.motion
    angle = np.arctan2(motion[:, 0], motion[:, 1])
    double = np.angle((cells.length * np.exp(2j * angle)).sum())
    return np.array([np.sin(double / 2.0), np.cos(double / 2.0)])
