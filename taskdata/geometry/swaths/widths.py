"""The working width that many cells have in common, and how well it is known."""

from __future__ import annotations

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats

_SHARE, _ROUNDS = 0.1, 5


@dataclass(frozen=True, slots=True)
class Width:
    """A width in metres, the standard deviation of single measurements of it, and the share of the way that has it."""

    metres: float
    spread_m: float
    share: float


def tolerance(width_m: float) -> float:
    """Return the metres by which a measured width may miss the width that it is of: 1.5 %, at least 5 cm."""
    return max(0.05, 0.015 * width_m)


def full_width(width: Floats, length: Floats) -> Width:
    """Return the widest width that a tenth of the way was driven with.

    Parameters
    ----------
    width, length : ndarray
        (n,) metres across and along, n > 0.

    Notes
    -----
    With sections off a bar sweeps less than its width, never more: so the widest counts, but not a single outlier.
    """
    order = np.argsort(width, kind="stable")
    sizes, weights = width[order], np.maximum(length[order], 1e-9)
    found = float(np.interp(0.5, (np.cumsum(weights) - weights / 2.0) / weights.sum(), sizes))
    about = np.concatenate([[0.0], np.cumsum(weights)])
    allowed = np.maximum(0.05, 0.015 * sizes)
    low, high = np.searchsorted(sizes, sizes - allowed, "left"), np.searchsorted(sizes, sizes + allowed, "right")
    heavy = np.flatnonzero(about[high] - about[low] >= _SHARE * weights.sum())
    if len(heavy):
        found = float(sizes[heavy[-1]])
    for _ in range(_ROUNDS):
        near = np.abs(sizes - found) <= tolerance(found)
        if not near.any():
            return Width(found, float(np.std(sizes)), 0.0)
        inside = weights[near]
        found = float(np.interp(0.5, (np.cumsum(inside) - inside / 2.0) / inside.sum(), sizes[near]))
    near = np.abs(sizes - found) <= tolerance(found)
    spread = float(np.sqrt(np.average((sizes[near] - found) ** 2, weights=weights[near]))) if near.any() else 0.0
    return Width(found, spread, float(weights[near].sum() / weights.sum()))
