"""Which polygons, lines and points without a better mark are the same in two sets: those that lie nearest."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from taskdata.isoxml.element import POINT, Element
from taskdata.sets.shapes import position
from taskdata.sets.wording import is_hole

MOST_APART_M = 50.0
"""Metres from which a point or a hole is another one, not the same moved."""

_MOST_PAIRS = 1_000_000
_METRES_PER_DEGREE = 111_195.0


def nearest_pairs(ones: list[Element], twos: list[Element]) -> Iterator[tuple[Element, Element]]:
    """Yield pairs of polygons, lines or points, of one type before of different types, the nearest first.

    Where there are too many to try each with each, they are taken in their order.
    """
    here, there = [_middle(item) for item in ones], [_middle(item) for item in twos]
    if len(ones) * len(twos) > _MOST_PAIRS:
        tried = list(zip(range(len(ones)), range(len(twos)), strict=False))
    else:
        tried = [(one, two) for one in range(len(ones)) for two in range(len(twos))]
    types = [[item.attributes.get("A") for item in side] for side in (ones, twos)]
    alone = len(ones) == len(twos) == 1
    ranked = sorted(
        (types[0][one] != types[1][two], distance, one, two)
        for one, two in tried
        if (distance := _apart(here[one], there[two])) <= _reach(ones[one], alone=alone)
    )
    used: tuple[set[int], set[int]] = set(), set()
    for _, _, one, two in ranked:
        if one not in used[0] and two not in used[1]:
            used[0].add(one)
            used[1].add(two)
            yield ones[one], twos[two]


def _reach(element: Element, *, alone: bool) -> float:
    return MOST_APART_M if is_hole(element) or (element.tag == POINT and not alone) else math.inf


def _middle(element: Element) -> tuple[float, float] | None:
    """Return longitude and latitude of the middle of what lies in an element, None where nothing does."""
    parts = [position(element)] if element.tag == POINT else []
    parts += [item.coordinates() for item in element.walk() if item.tag == "LSG"]
    points = np.vstack(parts) if parts else np.empty((0, 2))
    points = points[np.isfinite(points).all(axis=1)]
    if not len(points):
        return None
    middle = (points.min(axis=0) + points.max(axis=0)) / 2.0
    return float(middle[0]), float(middle[1])


def _apart(one: tuple[float, float] | None, two: tuple[float, float] | None) -> float:
    """Return metres, roughly; 0 where one of the two lies nowhere."""
    if one is None or two is None:
        return 0.0
    east = (one[0] - two[0] + 180.0) % 360.0 - 180.0
    scale = math.cos(math.radians(one[1]))
    return _METRES_PER_DEGREE * math.hypot(east * scale, one[1] - two[1])
