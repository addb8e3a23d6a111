"""How the inner rings of each polygon lie to its outer rings and to each other."""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum
from itertools import combinations
from typing import Any, NamedTuple

import numpy as np
import shapely

from taskdata.checks._once import once
from taskdata.checks.geometry._rings import Ring, Rings, rings
from taskdata.checks.subject import Subject

_FEW = 32


class Fault(Enum):
    """What is wrong with an inner ring."""

    CROSSES_OUTER = "the outer ring"
    CROSSES_INNER = "another inner ring"
    OUTSIDE = "outside"
    INSIDE_INNER = "inside another inner ring"


class Hole(NamedTuple):
    """An inner ring that does not lie as it should, and where that shows (longitude, latitude)."""

    ring: Ring
    fault: Fault
    location: tuple[float, float]


def holes(subject: Subject, fault: Fault) -> Iterator[Hole]:
    """Yield the inner rings with one kind of fault.

    Polygons with a ring that is not valid by itself, or that goes round a pole, are passed over.
    """
    return (hole for hole in _all(subject) if hole.fault is fault)


@once
def _all(subject: Subject) -> tuple[Hole, ...]:
    found = rings(subject)
    return tuple(hole for outer, inner in _polygons(found) for hole in _faulty(found, outer, inner))


def _polygons(found: Rings) -> Iterator[tuple[list[int], list[int]]]:
    """Yield outer and inner rings of the polygons (PLN) that have both, all of them valid."""
    for outer, inner in found.polygons():
        if outer and inner and all(found.valid[at] and not found.round_pole(at) for at in (*outer, *inner)):
            yield outer, inner


def _faulty(found: Rings, outer_numbers: list[int], inner_numbers: list[int]) -> Iterator[Hole]:
    first, *others = found.shapes(outer_numbers)
    outer = np.array([first, *(_beside(first, shape) for shape in others)], dtype=object)
    inner = np.array([_beside(first, shape) for shape in found.shapes(inner_numbers)], dtype=object)
    shapely.prepare(outer)
    inside = np.zeros(len(inner), dtype=bool)
    for shape in outer:
        inside |= shapely.covers(shape, inner)
    for at in np.flatnonzero(~inside).tolist():
        index = inner_numbers[at]
        crossed = next((shape for shape in outer if _cross(shape, inner[at])), None)
        spot = _first(inner[at]) if crossed is None else _first(_meeting(crossed, inner[at]))
        fault = Fault.OUTSIDE if crossed is None else Fault.CROSSES_OUTER
        yield Hole(found[index], fault, found.spot(index, *spot))
    for one, other in _pairs(inner):
        if shapely.covers(inner[one], inner[other]) or shapely.covers(inner[other], inner[one]):
            at = one if shapely.area(inner[one]) < shapely.area(inner[other]) else other
            fault, spot = Fault.INSIDE_INNER, _first(inner[at])
        elif _cross(inner[one], inner[other]):
            at, fault, spot = other, Fault.CROSSES_INNER, _first(_meeting(inner[one], inner[other]))
        else:
            continue
        yield Hole(found[inner_numbers[at]], fault, found.spot(inner_numbers[at], *spot))


def _beside(first: Any, shape: Any) -> Any:
    """Return a shape in the same turn of longitudes as the first one."""
    turns = np.rint((shapely.bounds(first)[0] - shapely.bounds(shape)[0]) / 360.0)
    shift = np.array([360.0 * turns, 0.0])
    return shapely.transform(shape, lambda points: points + shift) if turns else shape


def _cross(one: Any, other: Any) -> bool:
    """Tell whether two shapes have an inside in common while neither covers the other."""
    return bool(shapely.relate_pattern(one, other, "T*T***T**"))


def _meeting(one: Any, other: Any) -> Any:
    return shapely.intersection(shapely.boundary(one), shapely.boundary(other))


def _first(shape: Any) -> tuple[float, float]:
    x, y = shapely.get_coordinates(shape)[0].tolist()
    return x, y


def _pairs(shapes: Any) -> Iterator[tuple[int, int]]:
    """Yield the pairs of shapes that may meet."""
    if len(shapes) <= _FEW:
        yield from combinations(range(len(shapes)), 2)
        return
    first, second = shapely.STRtree(shapes).query(shapes)
    yield from sorted((a, b) for a, b in zip(first.tolist(), second.tolist(), strict=True) if a < b)
