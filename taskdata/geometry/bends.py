"""Points put between those of a path where it bends, so that it goes on along arcs rather than chords.

Metres, x east and y north. From one point to the next the path is taken for a circular arc that turns by the lesser of
the turns at both points, and by nothing where these contradict each other. A circle is met exactly, however far apart
its points lie; a corner stays a corner, and the straight before it straight; noise turns to and fro
and adds little.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import lengths

SAGITTA_M = 0.01
"""An arc that lies so near to its chord is left straight."""

FINE_M = 0.002
"""How far the chords of an arc lie off it at most."""

_LARGEST_STEP = math.radians(3.0)
_SHARPEST = math.radians(100.0)
"""What turns more from one step to the next is a corner or a change of gear."""

_LONGEST_M = 40.0


class Refined(NamedTuple):
    """A path with points between.

    Parameters
    ----------
    points : ndarray
        (m, 2) metres.
    at : ndarray
        (m,) where each lies among the n points given: 2.5 is half way from the third to the fourth.
    """

    points: Points
    at: Floats


def refined(path: Points, closed: NDArray[np.bool_], halved: NDArray[np.bool_] | None = None) -> Refined:
    """Return a path that follows its bends.

    Parameters
    ----------
    path : ndarray
        (n, 2) finite metres.
    closed : ndarray
        (n - 1,) steps that stay as they are, and tell nothing of the bends beside them.
    halved : ndarray, optional
        (n - 1,) steps that get a point in their middle in any case.
    """
    if len(path) < 2:
        return Refined(path, np.arange(len(path), dtype=np.float64))
    steps = np.diff(path, axis=0)
    size = lengths(steps)
    turn = np.where(closed, 0.0, _turns(steps, size, closed))
    bent = size * np.abs(turn) / 8.0 > SAGITTA_M
    pieces = np.ones(len(steps), dtype=np.intp)
    fine = np.sqrt(size * np.abs(turn) / (8.0 * FINE_M))
    pieces[bent] = np.ceil(np.maximum(fine, np.abs(turn) / _LARGEST_STEP))[bent].astype(np.intp)
    if halved is not None:
        pieces[halved] += pieces[halved] % 2
    owner = np.repeat(np.arange(len(steps)), pieces)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    share = place / pieces[owner]
    points = path[:-1][owner] + _along_arcs(steps[owner], np.where(bent, turn, 0.0)[owner], share)
    points[place == 0] = path[:-1]
    return Refined(np.vstack([points, path[-1:]]), np.append(owner + share, float(len(steps))))


def _turns(steps: Points, size: Floats, closed: NDArray[np.bool_]) -> Floats:
    """Return by how much each step turns, radians, right positive: the lesser of the turns at both of its ends."""
    course = np.arctan2(steps[:, 0], steps[:, 1])
    corner = np.mod(np.diff(course) + math.pi, 2.0 * math.pi) - math.pi
    useless = closed[1:] | closed[:-1] | (size[1:] == 0.0) | (size[:-1] == 0.0)
    useless |= (np.abs(corner) > _SHARPEST) | (np.maximum(size[1:], size[:-1]) > _LONGEST_M)
    half = (size[1:] + size[:-1]) / 2.0
    rate = np.where(useless, 0.0, corner) / np.where(useless, 1.0, half)
    if len(rate) < 2:
        return np.zeros(len(size))
    before, after = np.concatenate([rate[1:2], rate]), np.concatenate([rate, rate[-2:-1]])
    lesser = np.where(np.abs(before) < np.abs(after), before, after)
    return np.clip(np.where(before * after > 0.0, lesser, 0.0) * size, -_SHARPEST, _SHARPEST)


def _along_arcs(chords: Points, turn: Floats, share: Floats) -> Points:
    """Return places at shares of arcs over chords (m, 2): at the share u the chord so far is half of (1 - u) turns off.

    The chord of an arc is to that of a share u of it as the sines of half their turns.
    """
    whole = np.sin(turn / 2.0)
    straight = np.abs(turn) < 1e-9
    ratio = np.where(straight, share, np.sin(share * turn / 2.0) / np.where(straight, 1.0, whole))
    off = -turn * (1.0 - share) / 2.0
    sine, cosine = np.sin(off), np.cos(off)
    east = chords[:, 0] * cosine + chords[:, 1] * sine
    north = chords[:, 1] * cosine - chords[:, 0] * sine
    return np.asarray(ratio[:, np.newaxis] * np.column_stack([east, north]))
