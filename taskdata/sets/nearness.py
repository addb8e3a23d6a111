"""Which polygons, lines and points without a better mark are the same in two sets: those that lie nearest."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.geodesy import inverse
from taskdata.geometry.rings import unwrap
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.sets.shapes import position
from taskdata.sets.wording import is_hole

MOST_APART_M = 50.0
"""Metres from which a point or a hole is another one, not the same moved."""

_MOST_PAIRS = 1_000_000


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
    chosen = np.array(tried, dtype=np.intp).reshape(-1, 2)
    apart = _apart(np.array(here)[chosen[:, 0]], np.array(there)[chosen[:, 1]]).tolist() if tried else []
    ranked = sorted(
        (types[0][one] != types[1][two], distance, one, two)
        for (one, two), distance in zip(tried, apart, strict=True)
        if distance <= _reach(ones[one], alone=alone)
    )
    used: tuple[set[int], set[int]] = set(), set()
    for _, _, one, two in ranked:
        if one not in used[0] and two not in used[1]:
            used[0].add(one)
            used[1].add(two)
            yield ones[one], twos[two]


def _reach(element: Element, *, alone: bool) -> float:
    return MOST_APART_M if is_hole(element) or (element.tag == POINT and not alone) else math.inf


def _middle(element: Element) -> NDArray[np.float64]:
    """Return longitude and latitude of the middle of what lies in an element, NaN where nothing does."""
    parts = [position(element)] if element.tag == POINT else []
    parts += [item.coordinates() for item in element.walk() if item.tag == "LSG"]
    points = np.vstack(parts) if parts else np.empty((0, 2))
    points = points[np.isfinite(points).all(axis=1)]
    if not len(points):
        return np.full(2, np.nan)
    points = unwrap(points)
    return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2.0)


def _apart(ones: NDArray[np.float64], twos: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return metres from place to place; 0 where one of the two lies nowhere."""
    return np.nan_to_num(inverse(ones, twos)[1])
