"""Fields on the same ground, in groups: however many lie on one another, each is compared with the first alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._boxes import Boxes
from taskdata.checks._field_shapes import FieldShape, FieldShapes, field_shapes
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.areas import on_map
from taskdata.geometry.arrays import Floats, distinct
from taskdata.geometry.metres import degree_metres
from taskdata.model.fields import Field

SAME_SHARE = 95.0
"""Percent of the ground of both together from which on two fields are one (judged)."""
ROUGHLY = 0.95
"""Share of that which rough figures of areas have to reach."""
TALL_DEG = 1.0
"""Degrees of latitude beyond which a figure of square metres says nothing about square degrees."""
_BLOCK = 64
"""How many fields look for others on their ground at a time: a heap of n fields makes so many times n candidates."""


@dataclass(frozen=True, eq=False)
class Groups:
    """Fields on the same ground, as numbers among the fields with a valid boundary, in the order of the source.

    Parameters
    ----------
    firsts : array of int
        Fields that stand for a group; most of them are alone.
    others : dict of int to list of int
        Of each first field that has any, those that share `SAME_SHARE` with it and are neither part of it, nor it of
        them, nor bear its identifier.
    """

    firsts: NDArray[np.intp]
    others: dict[int, list[int]]


class MapShapes:
    """Shapes of the fields with a valid boundary, in degrees from -180 to 180, with their ``extents`` (n, 4)."""

    def __init__(self, found: FieldShapes) -> None:
        self._found = found
        beyond = np.flatnonzero((found.extents[:, 0] < -180.0) | (found.extents[:, 2] > 180.0)).tolist()
        self._cut = {at: on_map(found.field(at).boundaries).shape for at in beyond}
        self.extents = found.extents.copy() if beyond else found.extents
        for at, shape in self._cut.items():
            self.extents[at] = shapely.bounds(shape)

    def of(self, numbers: Sequence[int]) -> NDArray[Any]:
        """Return the shapes of some, made anew; those that cross the antimeridian are cut there."""
        shapes = self._found.shapes(numbers)
        for at, number in enumerate(numbers):
            if number in self._cut:
                shapes[at] = self._cut[number]
        return shapes


@once
def map_shapes(subject: Subject) -> MapShapes:
    """Return the shapes on the map of the fields with a valid boundary; made once for a set."""
    return MapShapes(field_shapes(subject))


@once
def groups(subject: Subject) -> Groups:
    """Return each field with the later ones on the same ground; made once for a set."""
    found = field_shapes(subject)
    followers = _followers(subject, found, map_shapes(subject))
    later = {index for indices in followers.values() for index, _ in indices}
    others = {first: [index for index, counts in indices if counts] for first, indices in followers.items()}
    is_first = np.ones(len(found), dtype=np.bool_)
    is_first[list(later)] = False
    return Groups(
        np.flatnonzero(is_first),
        {first: indices for first, indices in others.items() if first not in later and indices},
    )


def on_same_ground(subject: Subject) -> Iterator[tuple[FieldShape, list[FieldShape]]]:
    """Yield each field that shares its ground with later ones, and these."""
    found = field_shapes(subject)
    for first, others in groups(subject).others.items():
        yield found[first], [found[other] for other in others]


@once
def group_of(subject: Subject) -> dict[str, int]:
    """Return the first field of the group of each field that shares its ground, by identifier."""
    found = field_shapes(subject)
    several = groups(subject).others.items()
    return {found.field(at).id: first for first, others in several for at in (first, *others)}


def related(subject: Subject, first: Field, second: Field) -> bool:
    """Tell whether one field is a part of the other, or a part of a part of it, or bears its identifier."""
    return first.id == second.id or first.id in _above(subject, second) or second.id in _above(subject, first)


def _followers(subject: Subject, found: FieldShapes, shapes: MapShapes) -> dict[int, list[tuple[int, bool]]]:
    """Return of each first field the later ones on its ground, and whether each counts or only bears its identifier."""
    taken = np.zeros(len(found), dtype=np.bool_)
    followers: dict[int, list[tuple[int, bool]]] = {}
    for first, near in _candidates(shapes, _rough_areas(found, shapes), taken):
        plot = found.field(first)
        shape, *others = shapes.of([first, *near.tolist()])
        for index in near[_share_ground(shape, np.array(others, dtype=object))].tolist():
            other = found.field(index)
            counts = not related(subject, plot, other)
            if counts or other.id == plot.id:
                taken[index] = True
                followers.setdefault(first, []).append((index, counts))
    return followers


def _rough_areas(found: FieldShapes, shapes: MapShapes) -> Floats:
    """Return square degrees of each field, (n,)."""
    north = shapes.extents[:, [1, 3]]
    areas = found.sizes / np.prod(degree_metres(north.mean(axis=1)), axis=0)
    tall = np.flatnonzero(north[:, 1] - north[:, 0] > TALL_DEG)
    areas[tall] = shapely.area(shapes.of(tall.tolist()))
    return np.asarray(areas)


def _candidates(shapes: MapShapes, areas: Floats, taken: NDArray[np.bool_]) -> Iterator[tuple[int, NDArray[np.intp]]]:
    """Yield each field that is not ``taken`` with the later ones whose size and extent allow that they are the same."""
    extents, boxes = shapes.extents, Boxes(shapes.extents)
    for start in range(0, len(areas), _BLOCK):
        ones, others = boxes.meeting(np.flatnonzero(~taken[start : start + _BLOCK]) + start)
        least = ROUGHLY * SAME_SHARE / 100.0 * np.maximum(areas[ones], areas[others])
        sides = np.minimum(extents[ones, 2:], extents[others, 2:]) - np.maximum(extents[ones, :2], extents[others, :2])
        alike = (np.minimum(areas[ones], areas[others]) >= least) & (np.prod(sides, axis=1) >= least) & ~taken[others]
        ones, others = ones[alike], others[alike]
        firsts = distinct(ones)
        for first, near in zip(firsts.tolist(), np.split(others, np.searchsorted(ones, firsts[1:])), strict=False):
            left = near[~taken[near]]
            if not taken[first] and len(left):
                yield first, left


def _share_ground(shape: Any, others: NDArray[Any]) -> NDArray[np.bool_]:
    """Tell which of (n,) shapes share so much with one that they are the same ground."""
    common = shapely.area(shapely.intersection(shape, others))
    return np.asarray(100.0 * common >= SAME_SHARE * (shapely.area(shape) + shapely.area(others) - common))


@once
def _parents(subject: Subject) -> dict[str, str]:
    """Return of each field that is a part which one it is a part of."""
    return {item.id: item.parent for item in subject.dataset.fields if item.parent is not None}


def _above(subject: Subject, field: Field) -> set[str]:
    above: set[str] = set()
    parent = field.parent
    while parent is not None and parent not in above:
        above.add(parent)
        parent = _parents(subject).get(parent)
    return above
