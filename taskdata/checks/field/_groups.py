"""Fields on the same ground, in groups: however many lie on one another, each is compared with the first alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.checks._field_shapes import FieldShape, field_shapes
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.areas import on_map
from taskdata.model.fields import Field

SAME_SHARE = 95.0
"""Percent of the ground of both together from which on two fields are one (judged)."""
_BLOCK = 64
"""How many fields look for others on their ground at a time: a heap of n fields makes so many times n candidates."""


@dataclass(frozen=True, eq=False)
class Group:
    """Fields on the same ground, in the order of the source.

    Parameters
    ----------
    first : FieldShape
        The one that stands for all of them.
    shape : geometry
        Its shape in degrees from -180 to 180.
    others : list of FieldShape
        Those that share `SAME_SHARE` with it and are neither part of it, nor it of them, nor bear its identifier.
    """

    first: FieldShape
    shape: Any
    others: list[FieldShape] = field(default_factory=list)


@once
def groups(subject: Subject) -> tuple[Group, ...]:
    """Return each field with the later ones on the same ground, in the order of the source; made once for a set."""
    found = field_shapes(subject)
    shapes = np.empty(len(found), dtype=object)
    shapes[:] = [_on_map(plot) for plot in found]
    followers = _followers(subject, found, shapes)
    later = {index for indices in followers.values() for index, _ in indices}
    return tuple(
        Group(plot, shapes[at], [found[index] for index, counts in followers.get(at, ()) if counts])
        for at, plot in enumerate(found)
        if at not in later
    )


@once
def group_of(subject: Subject) -> dict[str, Group]:
    """Return the group of each field that shares its ground, by identifier."""
    several = [group for group in groups(subject) if group.others]
    return {plot.field.id: group for group in several for plot in (group.first, *group.others)}


def related(subject: Subject, first: Field, second: Field) -> bool:
    """Tell whether one field is a part of the other, or a part of a part of it, or bears its identifier."""
    return first.id == second.id or first.id in _above(subject, second) or second.id in _above(subject, first)


def _followers(
    subject: Subject, found: tuple[FieldShape, ...], shapes: NDArray[Any]
) -> dict[int, list[tuple[int, bool]]]:
    """Return of each first field the later ones on its ground, and whether each counts or only bears its identifier."""
    taken = np.zeros(len(found), dtype=np.bool_)
    followers: dict[int, list[tuple[int, bool]]] = {}
    for first, near in _candidates(shapes, taken):
        plot = found[first].field
        for index in near[_share_ground(shapes[first], shapes[near])].tolist():
            other = found[index].field
            counts = not related(subject, plot, other)
            if counts or other.id == plot.id:
                taken[index] = True
                followers.setdefault(first, []).append((index, counts))
    return followers


def _candidates(shapes: NDArray[Any], taken: NDArray[np.bool_]) -> Iterator[tuple[int, NDArray[np.intp]]]:
    """Yield each shape that is not ``taken`` with the later ones whose size and extent allow that they are the same."""
    tree, areas, boxes = shapely.STRtree(shapes), shapely.area(shapes), shapely.bounds(shapes)
    for start in range(0, len(shapes), _BLOCK):
        block = np.flatnonzero(~taken[start : start + _BLOCK]) + start
        ones, others = tree.query(shapes[block])
        ones = block[ones]
        ahead = (others > ones) & ~taken[others]
        ones, others = ones[ahead], others[ahead]
        least = SAME_SHARE / 100.0 * np.maximum(areas[ones], areas[others])
        sides = np.minimum(boxes[ones, 2:], boxes[others, 2:]) - np.maximum(boxes[ones, :2], boxes[others, :2])
        alike = (np.minimum(areas[ones], areas[others]) >= least) & (np.prod(sides, axis=1) >= least)
        ones, others = ones[alike], others[alike]
        order = np.lexsort((others, ones))
        ones, others = ones[order], others[order]
        firsts, begins = np.unique(ones, return_index=True)
        for first, near in zip(firsts.tolist(), np.split(others, begins)[1:], strict=True):
            if not taken[first]:
                yield first, near[~taken[near]]


def _share_ground(shape: Any, others: NDArray[Any]) -> NDArray[np.bool_]:
    """Tell which of (n,) shapes share so much with one that they are the same ground."""
    common = shapely.area(shapely.intersection(shape, others))
    return np.asarray(100.0 * common >= SAME_SHARE * (shapely.area(shape) + shapely.area(others) - common))


def _on_map(plot: FieldShape) -> Any:
    """Return the shape of a field in degrees from -180 to 180, cut at the antimeridian where it crosses it."""
    west, _, east, _ = plot.extent
    return plot.shape if west >= -180.0 and east <= 180.0 else on_map(plot.field.boundaries).shape


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
