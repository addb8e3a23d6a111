"""Values at places from those at sites near by: the mean of the nearest few, weighed by the inverse square of distance.

The inverse square is Shepard's weight ("A two-dimensional interpolation function for irregularly-spaced data", 1968).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points

FEW = 8
"""How many sites a value is made of."""

_BATCH = 20_000
_LEAST_M = 1e-3


class _Pairs(NamedTuple):
    """Places and sites near them, sorted by place and distance; how far apart they are, metres."""

    place: NDArray[np.intp]
    site: NDArray[np.intp]
    distance: Floats


def weighed(sites: Points, values: Floats, places: Points, reach: float, *, others: bool = False) -> Floats:
    """Return the values at places, (m, q); NaN where no site with a value is within reach.

    Parameters
    ----------
    sites : float64 (n, 2)
        Metres of a plane.
    values : float64 (n, q)
        NaN where a site has none.
    places : float64 (m, 2)
        Where values are wanted.
    reach : float
        Metres beyond which a site says nothing.
    others : bool
        The places are the sites, and each is valued by the others alone: what leaving one out predicts.
    """
    tree = shapely.STRtree(shapely.points(sites))
    result = np.full((len(places), values.shape[1]), np.nan)
    for start in range(0, len(places), _BATCH):
        batch = places[start : start + _BATCH]
        place, site = tree.query(shapely.points(batch), predicate="dwithin", distance=reach)
        if others:
            apart = site != place + start
            place, site = place[apart], site[apart]
        distance = np.hypot(*(sites[site] - batch[place]).T)
        order = np.lexsort((distance, place))
        pairs = _Pairs(place[order], site[order], distance[order])
        for quantity, column in enumerate(values.T):
            result[start : start + len(batch), quantity] = _means(pairs, column, len(batch))
    return result


def _means(pairs: _Pairs, values: Floats, count: int) -> Floats:
    known = np.isfinite(values[pairs.site])
    place, site, distance = (part[known] for part in pairs)
    rank = np.arange(len(place)) - np.searchsorted(place, place)
    few = rank < FEW
    place, weights = place[few], 1.0 / np.maximum(distance[few], _LEAST_M) ** 2
    whole = np.bincount(place, weights, minlength=count)
    sums = np.bincount(place, weights * values[site[few]], minlength=count)
    result = np.full(count, np.nan)
    np.divide(sums, whole, out=result, where=whole > 0.0)
    return result
