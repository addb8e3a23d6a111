"""Cells: what a bar swept from one of its places to the next, as outlines give it.

The outline of a cell does not say which two of its four edges are the places of the bar: each is read both ways, and
``links`` tells which of them makes long passes. Left and right are as seen from the first place to the second.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import across_product, lengths
from taskdata.geometry.swaths.ring_sides import sides

SAME_M = 0.002
"""Metres below which two corners of an outline are one, and one beside a straight edge is none."""

Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Cells:
    """n cells.

    Parameters
    ----------
    start, end : ndarray
        (n, 2, 2) metres: the left and the right end of the bar at the two places.
    row : ndarray
        (n,) the row each comes from.
    cell : ndarray
        (n,) its number; two readings of one outline have the same.
    """

    start: Points
    end: Points
    row: Indices
    cell: Indices

    @classmethod
    def of(cls, start: Points, end: Points, row: Indices, cell: Indices) -> Cells:
        """Return cells whose bars lie with their left end to the left."""
        motion = (end - start).mean(axis=1)
        sides = [_left_first(bar, motion) for bar in (start, end)]
        return cls(sides[0], sides[1], row, cell)

    def take(self, chosen: Any) -> Cells:
        """Return some of the cells."""
        return Cells(self.start[chosen], self.end[chosen], self.row[chosen], self.cell[chosen])

    def joined(self, other: Cells) -> Cells:
        """Return these cells and others, each with a number of its own."""
        if not len(other.row):
            return self
        start, end = np.concatenate([self.start, other.start]), np.concatenate([self.end, other.end])
        row = np.concatenate([self.row, other.row])
        return Cells(start, end, row, np.arange(len(row)))

    def turned(self, back: NDArray[np.bool_]) -> Cells:
        """Return cells of which some are driven from their second place to the first."""
        at = back[:, np.newaxis, np.newaxis]
        start, end = np.where(at, self.end[:, ::-1], self.start), np.where(at, self.start[:, ::-1], self.end)
        return Cells(start, end, self.row, self.cell)

    @cached_property
    def motion(self) -> Points:
        """(n, 2) metres from the middle of the first place to that of the second."""
        return np.asarray((self.end - self.start).mean(axis=1))

    @cached_property
    def length(self) -> Floats:
        """(n,) metres along the middle."""
        return lengths(self.motion)

    @cached_property
    def width(self) -> Floats:
        """(n,) metres across the way."""
        unit = self.motion / np.maximum(self.length, 1e-9)[:, np.newaxis]
        bars = [bar[:, 1] - bar[:, 0] for bar in (self.start, self.end)]
        across = [np.abs(across_product(bar, unit)) for bar in bars]
        return np.asarray((across[0] + across[1]) / 2.0)


def _left_first(bar: Points, motion: Points) -> Points:
    wrong = across_product(motion, bar[:, 1] - bar[:, 0]) > 0.0
    return np.where(wrong[:, np.newaxis, np.newaxis], bar[:, ::-1], bar)


def cells_of(polygons: Sequence[Any] | NDArray[Any], row: Indices) -> tuple[Cells, Indices]:
    """Return the cells that outlines are, each read in every way that it can be, and which are no strip.

    Parameters
    ----------
    polygons : sequence of shapely Polygon
        In metres, not empty. A quadrilateral is a cell, also where it crosses itself; a triangle one that turned about
        an end of its bar; a longer outline with two ends and two sides as many cells as its sides have steps.
    row : ndarray
        (n,) the row of each.

    Returns
    -------
    tuple of Cells and ndarray
        Readings, and the (k,) positions among ``polygons`` of those that are none.
    """
    shapes = np.asarray(polygons, dtype=object)
    plain, corners = _quadrilaterals(shapes)
    bars = [corners[:, [[0, 1], [3, 2]]], corners[:, [[1, 2], [0, 3]]]]
    owners = [np.column_stack([plain, np.arange(len(plain))])] * 2
    aside: list[int] = []
    number = len(plain)
    for place in np.setdiff1d(np.arange(len(shapes)), plain).tolist():
        found = _readings(shapes[place])
        if not found:
            aside.append(place)
            continue
        count = len(found[0])
        bars += found
        owners += [np.column_stack([np.full(count, place), np.arange(number, number + count)])] * len(found)
        number += count
    every, owner = np.concatenate(bars), np.concatenate(owners)
    cells = Cells.of(every[:, 0], every[:, 1], row[owner[:, 0]], owner[:, 1])
    return cells.take(cells.length > SAME_M), np.array(aside, dtype=np.intp)


def _quadrilaterals(shapes: NDArray[Any]) -> tuple[Indices, Points]:
    """Return which outlines have four different corners, and these: (m,) and (m, 4, 2)."""
    four = (shapely.get_num_coordinates(shapes) == 5) & (shapely.get_num_interior_rings(shapes) == 0)
    corners = shapely.get_coordinates(shapes[four]).reshape(-1, 5, 2)[:, :4]
    steps = np.roll(corners, -1, axis=1) - corners
    apart = (np.hypot(steps[..., 0], steps[..., 1]) > SAME_M).all(axis=1)
    return np.flatnonzero(four)[apart], corners[apart]


def _readings(polygon: Any) -> list[Points]:
    """Return every reading of an outline: (k, 2, 2, 2) cells, places, ends of the bar, metres."""
    if shapely.get_num_interior_rings(polygon):
        return []
    ring = _corners(shapely.get_coordinates(polygon)[:-1])
    if len(ring) == 3:
        return [_pivot(ring)]
    if len(ring) == 4:
        return [ring[[[[0, 1], [3, 2]]]], ring[[[[1, 2], [0, 3]]]]]
    found = sides(ring) if len(ring) > 4 else None
    if found is None:
        return []
    places = np.stack(found, axis=1)
    return [np.stack([places[:-1], places[1:]], axis=1)]


def _corners(ring: Points) -> Points:
    """Return the corners of a ring, without repeated ones and, of more than four, those on a straight way."""
    ring = ring[lengths(ring - np.roll(ring, 1, axis=0)) > SAME_M]
    if len(ring) <= 4:
        return ring
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    off = np.abs(across_product(before, after)) / np.maximum(lengths(before + after), SAME_M)
    plain = ring[off > SAME_M]
    return plain if 3 <= len(plain) <= 4 else ring


def _pivot(ring: Points) -> Points:
    """Return the cell of a bar that turned about one of its ends: its two most equal edges are its places."""
    size = lengths(np.roll(ring, -1, axis=0) - ring)
    uneven = np.abs(size - np.roll(size, 1))
    apex = int(np.argmin(uneven))
    here, one, two = ring[apex], ring[(apex + 1) % 3], ring[(apex + 2) % 3]
    return np.array([[[here, one], [here, two]]])
