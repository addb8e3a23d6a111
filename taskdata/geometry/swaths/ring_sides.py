"""The two sides of a long strip, from the ring of its outline."""

from __future__ import annotations

import math

import numpy as np
import shapely

from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import across_product, lengths

_BROAD, _NARROW = 1.7, 0.6
"""By how much an end of a strip may be longer or shorter than its width."""

_STRAIGHT = math.radians(20.0)
_UNEVEN, _AREA = 0.3, 0.02
"""How much the width of a strip may change along it, and by how much its cells may miss the area of its outline."""


def sides(ring: Points) -> tuple[Points, Points] | None:
    """Return the sides of a strip, point by point across from each other: (k, 2) each, in one direction.

    A strip is an outline with two short ends, each with two corners of about a right angle, and between them two sides
    that keep their distance.

    Parameters
    ----------
    ring : Points
        (n, 2) metres, not closed, at least five corners.

    Returns
    -------
    tuple of Points or None
        None where the outline is no strip.
    """
    area = abs(_signed_area(ring))
    steps = lengths(np.roll(ring, -1, axis=0) - ring)
    width = _width(area, float(steps.sum()))
    best: tuple[float, int, int] | None = None
    ends = _ends(ring, steps, width)
    for place, one in enumerate(ends):
        for other in ends[place + 1 :]:
            first, second = float(steps[one + 1 : other].sum()), float(steps.sum() - steps[one : other + 1].sum())
            longest = max(first, second)
            if longest > 0.0 and (best is None or abs(first - second) / longest < best[0]):
                best = abs(first - second) / longest, one, other
    if best is None:
        return None
    _, one, other = best
    right = ring[one + 1 : other + 1]
    left = np.concatenate([ring[other + 1 :], ring[: one + 1]])[::-1]
    paired = (left, right) if len(left) == len(right) else _across(left, right)
    return paired if paired is not None and _is_strip(paired[0], paired[1], area) else None


def _signed_area(ring: Points) -> float:
    after = np.roll(ring, -1, axis=0)
    origin = ring[0]
    return float(np.sum(across_product(ring - origin, after - origin)) / 2.0)


def _width(area: float, perimeter: float) -> float:
    """Return the width of the rectangle with that area and perimeter, of a square where there is none."""
    rest = perimeter**2 - 16.0 * area
    return (perimeter - math.sqrt(rest)) / 4.0 if rest > 0.0 else math.sqrt(area)


def _ends(ring: Points, steps: Floats, width: float) -> list[int]:
    """Return the edges that may be an end of a strip: as long as it is wide, and turned about at both corners."""
    edges = np.roll(ring, -1, axis=0) - ring
    before = np.roll(edges, 1, axis=0)
    turn = np.arctan2(across_product(before, edges), (before * edges).sum(axis=1)) * math.copysign(
        1.0, _signed_area(ring)
    )
    after = np.roll(turn, -1)
    about = (turn > _STRAIGHT) & (after > _STRAIGHT) & (np.abs(turn + after - math.pi) < math.pi / 3.0)
    fits = (steps > _NARROW * width) & (steps < _BROAD * width)
    return [int(index) for index in np.flatnonzero(about & fits)]


def _across(left: Points, right: Points) -> tuple[Points, Points] | None:
    """Return sides with as many points each: a point for each of either, and the nearest across from it."""
    lines = shapely.linestrings(left), shapely.linestrings(right)
    at_right = shapely.line_locate_point(lines[1], shapely.points(left), normalized=True)
    at_left = shapely.line_locate_point(lines[0], shapely.points(right), normalized=True)
    own = [
        shapely.line_locate_point(line, shapely.points(side), normalized=True)
        for line, side in zip(lines, (left, right), strict=True)
    ]
    shares = np.column_stack([np.concatenate([own[0], at_left]), np.concatenate([at_right, own[1]])])
    shares = np.unique(shares[np.argsort(shares.sum(axis=1), kind="stable")], axis=0)
    if (np.diff(shares, axis=0) < -1e-3).any():
        return None
    shares[0], shares[-1] = 0.0, 1.0
    found = [shapely.line_interpolate_point(line, shares[:, side], normalized=True) for side, line in enumerate(lines)]
    return shapely.get_coordinates(found[0]), shapely.get_coordinates(found[1])


def _is_strip(left: Points, right: Points, area: float) -> bool:
    """Tell whether sides keep their distance, and lie about the ground of the outline."""
    across = lengths(right - left)
    usual = float(np.median(across))
    quads = across_product(right[1:] - left[:-1], left[1:] - right[:-1]) / 2.0
    even = bool((np.abs(across - usual) < _UNEVEN * usual).all())
    return even and abs(float(np.abs(quads).sum()) - area) < _AREA * area
