"""Facts about the geometry of a layer that tell what it is, in metres.

Of large layers a sample is measured: runs of neighbouring rows from the start, the middle and the end, so that what
follows each other in the layer stays together.
"""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.nearest import in_metres
from taskdata.geometry.plane import LocalPlane

Floats = NDArray[np.float64]

_RUN, _RUNS = 150, 3
_TOUCH_M = 0.5
_ALIKE = 0.06
_SAME_DIRECTION_DEG = 3.0
_CORNER_DEG, _STRAIGHT_M = 30.0, 5.0


def sampled(geometries: NDArray[Any]) -> NDArray[Any]:
    """Return the geometries that are measured."""
    count = len(geometries)
    if count <= _RUN * _RUNS:
        return geometries
    starts = np.linspace(0, count - _RUN, _RUNS).astype(int)
    return np.concatenate([geometries[start : start + _RUN] for start in starts])


def flat(geometries: NDArray[Any], plane: LocalPlane) -> NDArray[Any]:
    """Return geometries in degrees in metres of a plane; None for one that reaches out of it."""
    moved = np.array([in_metres(shapely.force_2d(item), plane) for item in geometries], dtype=object)
    moved[shapely.get_type_id(moved) != shapely.get_type_id(geometries)] = None
    return moved


def plane_of(geometries: NDArray[Any]) -> LocalPlane | None:
    """Return a plane about geometries in degrees; None where none of them is on Earth."""
    return LocalPlane.about([shapely.get_coordinates(geometries)])


@dataclass(frozen=True)
class _Flat:
    """Rows of a layer in a plane.

    Parameters
    ----------
    shapes : ndarray of geometry
        In metres; None where a row has none.
    """

    shapes: NDArray[Any]


class Polygons(_Flat):
    """Polygons of a layer."""

    @cached_property
    def areas(self) -> Floats:
        """Areas in m²."""
        return np.asarray(shapely.area(self.shapes))

    @cached_property
    def sides(self) -> Floats:
        """(n, 2) shorter and longer side of the smallest rectangle around each, in metres."""
        boxes = [None if item is None else shapely.minimum_rotated_rectangle(item) for item in self.shapes]
        found = np.full((len(boxes), 2), np.nan)
        for row, box in enumerate(boxes):
            if box is not None and box.geom_type == "Polygon":
                corners = shapely.get_coordinates(box)[:3]
                found[row] = np.sort(np.hypot(*np.diff(corners, axis=0).T))
        return found

    @cached_property
    def filling(self) -> float:
        """Median of how much of its smallest rectangle a polygon fills, 0 to 1."""
        whole = self.sides.prod(axis=1)
        return median(self.areas[whole > 0.0] / whole[whole > 0.0])

    @cached_property
    def alike_side(self) -> tuple[float, float]:
        """A length that most polygons have as one of their sides, and the share of those that have it."""
        return max((_alike(self.sides[:, at]) for at in (0, 1)), key=lambda found: found[1])

    @cached_property
    def squares(self) -> float:
        """Share of polygons that are squares as large as most."""
        if not len(self.shapes):
            return 0.0
        short, long = self.sides.T
        usual, _ = _alike(long)
        with np.errstate(invalid="ignore"):
            fits = (long <= 1.05 * short) & (np.abs(long - usual) <= 0.05 * usual)
        return float((fits & (self.areas > 0.9 * short * long)).mean())

    @cached_property
    def _neighbours(self) -> NDArray[np.intp]:
        """(2, n) pairs of different polygons that touch, or nearly."""
        known = np.array([item for item in self.shapes if item is not None], dtype=object)
        near = shapely.STRtree(known).query(known, predicate="dwithin", distance=_TOUCH_M)
        pairs: NDArray[np.intp] = near[:, near[0] != near[1]]
        return pairs

    @cached_property
    def touching(self) -> float:
        """Share of polygons that touch another, or nearly."""
        return float(len(np.unique(self._neighbours[0])) / max(len(self.shapes), 1))

    @cached_property
    def largest_group(self) -> int:
        """How many polygons hang together at most, each touching another of them."""
        group = np.arange(len(self.shapes))
        first, second = self._neighbours
        while len(first):
            least = group.copy()
            np.minimum.at(least, first, group[second])
            if (least == group).all():
                break
            group = least[least]
        return int(np.bincount(group).max()) if len(group) else 0


class Lines(_Flat):
    """Lines of a layer."""

    @cached_property
    def lengths(self) -> Floats:
        """Lengths in metres."""
        return np.asarray(shapely.length(self.shapes))

    @cached_property
    def of_two_points(self) -> float:
        """Share of lines with two points."""
        return float((shapely.get_num_coordinates(self.shapes) == 2).mean()) if len(self.shapes) else 0.0

    @cached_property
    def closed(self) -> float:
        """Share of lines that end where they begin."""
        return float(shapely.is_closed(self.shapes).mean()) if len(self.shapes) else 0.0

    @cached_property
    def enclosed(self) -> Floats:
        """Areas of the closed lines in m²."""
        rings = [item for item in self.shapes if item is not None and item.geom_type == "LineString" and item.is_closed]
        return np.array([_around(shapely.get_coordinates(ring)) for ring in rings])

    @cached_property
    def ends(self) -> Floats:
        """(n, 4) first and last point of each line, NaN where it has none."""
        found = np.full((len(self.shapes), 4), np.nan)
        for row, item in enumerate(self.shapes):
            if item is not None and not item.is_empty:
                points = shapely.get_coordinates(item)
                found[row] = [*points[0], *points[-1]]
        return found

    @cached_property
    def chained(self) -> float:
        """Share of lines that begin where the one before ends."""
        if len(self.shapes) < 2:
            return 0.0
        gaps = np.hypot(*(self.ends[1:, :2] - self.ends[:-1, 2:]).T)
        with np.errstate(invalid="ignore"):
            return float((gaps <= _TOUCH_M).mean())

    @cached_property
    def cornered(self) -> float:
        """Share of lines with a corner that no machine drives: over 30 degrees between two parts of 5 m or more."""
        return (
            float(np.mean([item is not None and _has_corner(item) for item in self.shapes]))
            if len(self.shapes)
            else 0.0
        )

    @cached_property
    def evenly_spaced(self) -> int:
        """How many lines run in one direction at equal distances from each other."""
        step = self.ends[:, 2:] - self.ends[:, :2]
        angle = np.degrees(np.arctan2(step[:, 0], step[:, 1])) % 180.0
        known = np.isfinite(angle) & (self.lengths > 0.0)
        known &= np.hypot(*step.T) >= 0.98 * np.where(known, self.lengths, np.inf)
        if known.sum() < 3:
            return 0
        usual = _usual_angle(angle[known])
        turned = np.abs((angle - usual + 90.0) % 180.0 - 90.0)
        along = known & (turned <= _SAME_DIRECTION_DEG)
        across = np.array([np.cos(np.radians(usual)), -np.sin(np.radians(usual))])
        middles = (self.ends[along, :2] + self.ends[along, 2:]) / 2.0
        gaps = np.diff(np.sort(middles @ across))
        spaced = gaps[gaps > _TOUCH_M]
        _, share = _alike(spaced)
        return round(share * len(spaced)) + 1 if len(spaced) >= 3 else 0


def _has_corner(line: Any) -> bool:
    for part in shapely.get_parts(line):
        steps = np.diff(shapely.get_coordinates(part), axis=0)
        steps = steps[np.hypot(*steps.T) >= _STRAIGHT_M]
        turns = np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0])))
        if (np.abs(turns) > np.radians(_CORNER_DEG)).any():
            return True
    return False


def _around(ring: Floats) -> float:
    """Return the area that a closed ring in metres goes round (Gauss's formula)."""
    x, y = (ring - ring[0]).T
    return float(abs((x[:-1] * y[1:] - x[1:] * y[:-1]).sum()) / 2.0)


def _usual_angle(angles: Floats) -> float:
    """Return the direction from 0 to 180 that most of them run in."""
    turned = np.abs((angles[:, None] - angles[None, :] + 90.0) % 180.0 - 90.0) <= _SAME_DIRECTION_DEG
    return float(angles[turned.sum(axis=1).argmax()])


def _alike(values: Floats) -> tuple[float, float]:
    """Return the value that most are like, and the share of those that are."""
    known = np.sort(values[np.isfinite(values) & (values > 0.0)])
    if not len(known):
        return 0.0, 0.0
    high = np.searchsorted(known, known * (1.0 + 2.0 * _ALIKE), side="right") - np.arange(len(known))
    first = int(high.argmax())
    return float(np.median(known[first : first + high[first]])), float(high[first] / len(values))


def median(values: Floats) -> float:
    """Return the median of the values that are finite, 0 where there is none."""
    known = values[np.isfinite(values)]
    return float(np.median(known)) if len(known) else 0.0
