"""Strips of a bar that moves over the ground, and what they sweep from one record to the next.

A strip is the part of the bar between a left and a right edge. From record i to record i + 1 it sweeps the
quadrilateral between its two places: left and right edge at i, left and right edge at i + 1. Neighbours in time share
the place of the bar, and neighbours on the bar share the straight way of their common edge, bit for bit: nothing is
left out between them and nothing is swept by both.

Swept is what that outline goes round, forwards or backwards. In a turn round a point of the strip itself the outline
crosses itself where the two places of the bar cross: the outer part went forwards and the inner part backwards. It is
then split there into two triangles, and both are swept, once each; ground over which the inner part goes back after
the strip had been there is swept twice. The same holds for the rare outline whose ways cross, of a bar that turned
about within one interval. The curve along which the bar pivots inside the interval is not followed: it lies within the
corner that the two places of the bar make, which shrinks with the square of the interval.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Points, as_points
from taskdata.geometry.paths import across_product

OFF, FORWARDS, BACKWARDS, FOLDED = 0, 1, -1, 2
"""What a strip does in an interval, in the table of `motions`."""

Places = NDArray[np.float64]
"""(n, k, 2) metres: n records, k strips."""

Quads = NDArray[np.float64]
"""(m, 4, 2) metres; triangles repeat a corner."""


@dataclass(frozen=True, slots=True)
class Strips:
    """The edges of k strips at n records, and in which of the n - 1 intervals they are active.

    Parameters
    ----------
    left, right : ndarray
        (n, k, 2) metres. Strips that join have the very same numbers for their common edge.
    active : ndarray
        (n - 1, k) bool, or (0, k) without records.
    """

    left: Places
    right: Places
    active: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Pieces:
    """Simple quadrilaterals and triangles, each swept once.

    Parameters
    ----------
    quads : ndarray
        (m, 4, 2), counter-clockwise.
    interval, strip : ndarray
        (m,) where each comes from: what lies between the records ``interval`` and ``interval + 1``.
    """

    quads: Quads
    interval: NDArray[np.intp]
    strip: NDArray[np.intp]


def strips(
    path: ArrayLike,
    heading: ArrayLike,
    left: ArrayLike,
    right: ArrayLike,
    active: ArrayLike,
    *,
    forward: ArrayLike = 0.0,
    joined: float = 1e-6,
) -> Strips:
    """Place strips along a path.

    Parameters
    ----------
    path : array_like
        (n, 2) metres, the places of the middle of the bar.
    heading : array_like
        (n,) degrees clockwise from north.
    left, right : array_like
        Edges of the strips in metres across the heading, right positive: (k,), or (n, k) where they change.
    active : array_like
        (n, k) bool: the state at a record holds until the next, so that the last row does not count.
    forward : array_like
        Metres by which the strips lie ahead of the path: a number, (k,) or (n, k).
    joined : float
        A left edge within this many metres of the right edge of the strip before it is taken to be the same.

    Returns
    -------
    Strips
    """
    places, angle = as_points(path), np.radians(np.asarray(heading, dtype=np.float64))
    states = np.asarray(active, dtype=np.bool_)
    shape = (len(places), states.shape[1])
    lefts, rights, ahead = (
        np.broadcast_to(np.asarray(values, dtype=np.float64), shape) for values in (left, right, forward)
    )
    meets = (np.abs(lefts[:, 1:] - rights[:, :-1]) <= joined) & (np.abs(ahead[:, 1:] - ahead[:, :-1]) <= joined)
    right_places = _placed(places, angle, ahead, rights)
    left_places = _placed(places, angle, ahead, lefts)
    left_places[:, 1:][meets] = right_places[:, :-1][meets]
    return Strips(left_places, right_places, states[:-1])


def motions(strips: Strips) -> NDArray[np.int8]:
    """Return what each strip does in each interval, (n - 1, k) int8.

    `OFF` where it is not active, has no area or a place that is not finite; `FORWARDS` and `BACKWARDS` where its
    outline is simple; `FOLDED` where the outline crosses itself.
    """
    corners = _corners(strips)
    with np.errstate(invalid="ignore"):
        area = across_product(corners[2] - corners[0], corners[3] - corners[1])
        bars, ways = _crossings(*corners)
    found = np.sign(np.nan_to_num(area)).astype(np.int8)
    found[bars | ways] = FOLDED
    found[~(strips.active & np.isfinite(area))] = OFF
    return found


def pieces(strips: Strips, motion: NDArray[np.int8] | None = None) -> Pieces:
    """Return everything swept as simple pieces, folded outlines split at their fold.

    Parameters
    ----------
    strips : Strips
    motion : ndarray, optional
        The table of `motions`, where it is known already.
    """
    table = motions(strips) if motion is None else motion
    interval, strip = np.nonzero(is_simple(table))
    split = folds(strips, table)
    return Pieces(
        np.concatenate([_simple_quads(strips, table, interval, strip), split.quads]),
        np.concatenate([interval, split.interval]),
        np.concatenate([strip, split.strip]),
    )


def is_simple(motion: NDArray[np.int8]) -> NDArray[np.bool_]:
    """Return where outlines are swept in one piece."""
    return np.asarray((motion == FORWARDS) | (motion == BACKWARDS))


def _simple_quads(
    strips: Strips, motion: NDArray[np.int8], interval: NDArray[np.intp], strip: NDArray[np.intp]
) -> Quads:
    """Return (m, 4, 2) the outlines of strips in intervals, counter-clockwise."""
    places = np.concatenate([strips.right.reshape(-1, 2), strips.left.reshape(-1, 2)])
    width, half = motion.shape[1], len(places) // 2
    at = interval * width + strip
    second = np.where(motion[interval, strip] == FORWARDS, at + width, at + half)
    return np.asarray(places[np.stack([at, second, at + width + half, 2 * at + width + half - second], axis=1)])


def folds(strips: Strips, motion: NDArray[np.int8]) -> Pieces:
    """Return the triangles of the folded outlines only; those without an area are left out."""
    interval, strip = np.nonzero(motion == FOLDED)
    one, two, three, four = (corner[interval, strip] for corner in _corners(strips))
    bars, _ = _crossings(one, two, three, four)
    at_bars = _meeting(one, four, two, three)
    at_ways = _meeting(one, two, four, three)
    bar = bars[:, np.newaxis]
    point = np.where(bar, at_bars, at_ways)
    near = np.stack([one, np.where(bar, two, point), np.where(bar, point, four), one], axis=1)
    far = np.stack([point, np.where(bar, three, two), np.where(bar, four, three), point], axis=1)
    quads = np.concatenate([near, far])
    has_area = areas(quads) != 0.0
    both = np.concatenate([interval, interval]), np.concatenate([strip, strip])
    return Pieces(_counter_clockwise(quads[has_area]), both[0][has_area], both[1][has_area])


def areas(quads: Quads) -> NDArray[np.float64]:
    """Return the signed areas of simple quadrilaterals (m, 4, 2) in m², counter-clockwise positive."""
    return np.asarray(across_product(quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1]) / 2.0)


def equal(one: Places, two: Places) -> NDArray[np.bool_]:
    """Return whether (..., 2) places are the same; several times as fast as `all` over so short an axis."""
    return np.asarray((one[..., 0] == two[..., 0]) & (one[..., 1] == two[..., 1]))


def _placed(path: Points, heading: NDArray[np.float64], forward: Places, right: Places) -> Places:
    sine, cosine = np.sin(heading)[:, np.newaxis], np.cos(heading)[:, np.newaxis]
    east, north = forward * sine + right * cosine, forward * cosine - right * sine
    return path[:, np.newaxis, :] + np.stack([east, north], axis=-1)


def _corners(strips: Strips) -> tuple[Places, Places, Places, Places]:
    """Return right edge before and after, left edge after and before: counter-clockwise when going forwards."""
    return strips.right[:-1], strips.right[1:], strips.left[1:], strips.left[:-1]


def _crossings(one: Places, two: Places, three: Places, four: Places) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return where the two places of the bar cross, and where the two ways of the edges do."""
    bars = _segments_cross(one, four, two, three)
    pivots = equal(one, two) | equal(three, four)
    ways = _segments_cross(one, two, four, three)
    return bars & ~pivots, ways & ~bars & ~equal(one, four) & ~equal(two, three)


def _segments_cross(a: Places, b: Places, c: Places, d: Places) -> NDArray[np.bool_]:
    """Return whether segments a-b and c-d meet without being parallel."""
    along, other = b - a, d - c
    first = np.sign(across_product(along, c - a)) * np.sign(across_product(along, d - a))
    second = np.sign(across_product(other, a - c)) * np.sign(across_product(other, b - c))
    return np.asarray((first <= 0.0) & (second <= 0.0) & (across_product(along, other) != 0.0))


def _meeting(a: Points, b: Points, c: Points, d: Points) -> Points:
    """Return where the lines a-b and c-d meet; a for lines that are parallel."""
    along, other = b - a, d - c
    slope = across_product(along, other)
    share = np.divide(across_product(c - a, other), slope, out=np.zeros(len(a)), where=slope != 0.0)
    return np.asarray(a + along * np.clip(share, 0.0, 1.0)[:, np.newaxis])


def _counter_clockwise(quads: Quads) -> Quads:
    return np.asarray(np.where((areas(quads) < 0.0)[:, np.newaxis, np.newaxis], quads[:, ::-1], quads))
