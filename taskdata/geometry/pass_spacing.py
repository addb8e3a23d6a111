"""How far apart passes of a track lie that run beside each other."""

from __future__ import annotations

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import across_product, distances, lengths, resample

_STEP_M, _WIDEST_M, _NEAREST_M, _APART_M = 5.0, 60.0, 0.5, 25.0
"""Metres between places that are looked at; no passes lie farther apart; what lies nearer is the same pass; and way
between two places before they may be of neighbouring passes."""

_ALONG, _PARALLEL, _SHARE = 0.35, 0.94, 0.5


@dataclass(frozen=True, slots=True)
class Spacing:
    """Metres between neighbouring passes, and half the range of the middle half of them."""

    metres: float
    spread_m: float


def spacing(stretches: list[Points]) -> Spacing | None:
    """Return the usual distance between neighbouring passes, None where most places have no neighbour.

    Parameters
    ----------
    stretches : list of Points
        (n, 2) metres each, tracks without a break.
    """
    found = [_sampled(points) for points in stretches if len(points) > 1]
    if not found:
        return None
    places = np.concatenate([points for points, _, _ in found])
    course = np.concatenate([unit for _, unit, _ in found])
    travelled = np.concatenate([way for _, _, way in found])
    stretch = np.repeat(np.arange(len(found)), [len(points) for points, _, _ in found])
    points = shapely.points(places)
    one, other = shapely.STRtree(points).query(points, predicate="dwithin", distance=_WIDEST_M)
    apart = (stretch[one] != stretch[other]) | (np.abs(travelled[one] - travelled[other]) > _APART_M)
    beside = places[other] - places[one]
    unit = course[one]
    along, across = (beside * unit).sum(axis=1), np.abs(across_product(beside, unit))
    parallel = np.abs((unit * course[other]).sum(axis=1)) > _PARALLEL
    good = apart & parallel & (across >= _NEAREST_M) & (np.abs(along) <= np.maximum(_STEP_M, _ALONG * across))
    nearest = np.full(len(places), np.inf)
    np.minimum.at(nearest, one[good], across[good])
    known = nearest[np.isfinite(nearest)]
    if len(known) < _SHARE * len(places):
        return None
    low, high = np.quantile(known, [0.25, 0.75])
    return Spacing(float(np.median(known)), float(high - low) / 2.0)


def _sampled(points: Points) -> tuple[Points, Points, Floats]:
    """Return places at equal steps along a stretch, the unit vector of its course there, and the way to each."""
    even = resample(points, _STEP_M)
    steps = np.gradient(even, axis=0)
    size = lengths(steps)
    return even, steps / np.maximum(size, 1e-9)[:, np.newaxis], distances(even)
