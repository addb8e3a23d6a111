"""What outlines, lines and points of two sets have moved in common."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.alignment import Shift, estimate, estimate_alike
from taskdata.geometry.arrays import Points
from taskdata.model.shapes import Coordinates
from taskdata.results.comparison import CommonShift
from taskdata.sets.moves import farthest, laid

LEAST_COMMON_M = 0.02
"""Metres below which a common shift is not worth a word."""
COMMON_SHARE = 0.5
CLOSE_M = 0.05
"""Metres within which a thing moved by the common shift."""
MOST_TRIED = 2_000
"""On how many lines and outlines a common shift is tried."""

_REACH_M = 50.0
_MOST_SHAPES = 100
"""From how many of them it is estimated; of more, from every n-th."""
_MOST_POINTS = 5_000
_WIDEST_DEG = 0.2
"""Degrees across from which a line is not that of a field: 22 km from south to north."""
_ALIKE_M = 0.02
"""Metres within which every point of a line moved alike, so that it needs no search for what lies nearest."""


def common_shift(pairs: Sequence[tuple[Coordinates, Coordinates]]) -> CommonShift | None:
    """Return the shift that most of the pairs of lines or rings have in common, None if there is none to speak of."""
    usable = _speaking(pairs)
    flat = [both for both in laid(usable) if all(np.isfinite(points).all() for points in both)]  # a plane each: in
    if not flat:  # one for all, far things would be turned
        return None
    found = _estimated(flat[:: max(1, math.ceil(len(flat) / _MOST_SHAPES))])
    if found is None or math.hypot(*found.vector) < LEAST_COMMON_M:
        return None
    share = float(np.mean(_close(flat, np.array(found.vector))))
    return CommonShift(found.east, found.north, share) if share >= COMMON_SHARE else None


def _estimated(flat: Sequence[tuple[Points, Points]]) -> Shift | None:
    """Return the shift of pairs of lines: that of their points where all moved alike."""
    ones, twos = [one for one, _ in flat], [two for _, two in flat]
    if all(len(one) == len(two) for one, two in flat):
        ways = np.concatenate(twos) - np.concatenate(ones)
        middle = np.median(ways, axis=0)
        if np.hypot(*middle) <= _REACH_M and (np.hypot(*(ways - middle).T) < _ALIKE_M).all():
            return estimate_alike(ones, twos)
    return estimate(ones, twos, matched=True, reach=_REACH_M)


def _close(flat: Sequence[tuple[Points, Points]], shift: NDArray[np.float64]) -> list[bool]:
    """Tell which lines, moved, lie within the tolerance of others; each point by its counterpart is enough."""
    found = [False] * len(flat)
    alike = [at for at, (one, two) in enumerate(flat) if len(one) == len(two)]
    if alike:
        ways = np.concatenate([flat[at][1] for at in alike]) - np.concatenate([flat[at][0] for at in alike])
        near = np.hypot(*(ways - shift).T) < CLOSE_M
        starts = np.cumsum([0, *(len(flat[at][0]) for at in alike[:-1])])
        for at, all_near in zip(alike, np.logical_and.reduceat(near, starts).tolist(), strict=True):
            found[at] = all_near
    return [is_near or farthest(one + shift, two) < CLOSE_M for is_near, (one, two) in zip(found, flat, strict=True)]


def _speaking(pairs: Sequence[tuple[Coordinates, Coordinates]]) -> list[tuple[Coordinates, Coordinates]]:
    """Return the lines and outlines that are those of a farm, and small enough to be computed with."""
    some = [both for both in pairs if all(0 < len(points) <= _MOST_POINTS for points in both)]
    if not some:
        return []
    lines = [line for both in some for line in both]
    points, starts = np.concatenate(lines), np.cumsum([0, *map(len, lines[:-1])])
    with np.errstate(invalid="ignore"):
        on_earth = np.isfinite(points).all(axis=1) & (np.abs(points[:, 1]) <= 90.0)
        wide = np.maximum.reduceat(points, starts) - np.minimum.reduceat(points, starts)
    speaking = np.logical_and.reduceat(on_earth, starts) & (wide <= _WIDEST_DEG).all(axis=1)
    return [some[at] for at in np.flatnonzero(speaking[::2] & speaking[1::2]).tolist()]
