"""What two sets have in common, as pairs of lines in a local plane: boundaries, lines, points and driven passes.

Fields are the same by identifier and name, else by a name that no other has, else by identifier; what lies in them by
kind and name, else by kind and identifier. Of several boundary rings the ones whose middles are nearest make a pair.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Protocol, TypeVar

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.driving.splitting import split
from taskdata.fieldwork.field_ground import plane_of
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import destination
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import close
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceKind, GuidanceLine
from taskdata.model.shapes import LineKind

STRETCH_M = 300.0
"""How long a direction (A+) is drawn to both sides of A."""

REACH_M = 50.0
"""How far apart two things may lie that are taken for the same."""

_OF_ONE_PLACE = frozenset({GuidanceKind.A_PLUS, GuidanceKind.PIVOT})


class Named(Protocol):
    """A record with a name and an identifier."""

    @property
    def id(self) -> str | None:
        """Identifier."""
        ...

    @property
    def name(self) -> str | None:
        """Name."""
        ...


R = TypeVar("R", bound=Named)


@dataclass(frozen=True, eq=False)
class Pair:
    """The same thing in two sets: what it is, where, (n, 2) metres each in one plane, and whether one place made it."""

    kind: str
    moving: Points
    fixed: Points
    of_one_place: bool = False


def common(first: Dataset, other: Dataset) -> list[Pair]:
    """Return boundaries, lines and points that both sets have, no farther apart than `REACH_M`."""
    found: list[Pair] = []
    for here, there in paired(first.fields, other.fields, lambda _: ""):
        plane = plane_of(here)
        if plane is not None:
            found += [pair for pair in _of_field(here, there, plane) if _near(pair)]
    return found


def passes_of(dataset: Dataset, plane: LocalPlane) -> list[Points]:
    """Return the passes that the logs of a set drove, (n, 2) metres each."""
    found: list[Points] = []
    for task in dataset.tasks:
        for log in task.logs:
            records = log.records
            if records is not None and len(records.lon) > 1:
                seconds = records.time.astype("datetime64[ms]").astype(np.float64) / 1000.0
                seconds[np.isnat(records.time)] = np.nan
                track = plane.forward(np.column_stack([records.lon, records.lat]))
                found += [item.points for item in split(track, seconds)]
    return found


def plane_of_logs(dataset: Dataset) -> LocalPlane | None:
    """Return a plane about the logs of a set, None where they hold no position."""
    known = [log.records for task in dataset.tasks for log in task.logs if log.records is not None]
    return LocalPlane.about([np.column_stack([item.lon, item.lat]) for item in known])


def paired(first: Iterable[R], other: Iterable[R], kind: Callable[[R], object]) -> Iterator[tuple[R, R]]:
    """Yield what is the same in two lists; each record once."""
    here, there = list(first), list(other)
    for key in (
        lambda item: (kind(item), item.id, item.name) if item.id and item.name else None,
        lambda item: (kind(item), item.name) if item.name else None,
        lambda item: (kind(item), item.id) if item.id else None,
    ):
        counts = [Counter(key(item) for item in listed) for listed in (here, there)]
        known = {key(item): item for item in there}
        for item in list(here):
            name = key(item)
            if name is not None and counts[0][name] == counts[1][name] == 1:
                twin = known[name]
                yield item, twin
                here.remove(item)
                there.remove(twin)


def _of_field(here: Field, there: Field, plane: LocalPlane) -> Iterator[Pair]:
    rings = [
        [plane.forward(close(ring)) for area in field.boundaries for ring in (*area.exteriors, *area.interiors)]
        for field in (here, there)
    ]
    yield from (Pair("boundary", ring, twin) for ring, twin in _nearest(rings[0], rings[1]))
    guidance = [[*field.guidance, *field.line_guidance] for field in (here, there)]
    for line, twin in paired(guidance[0], guidance[1], lambda item: item.kind):
        yield Pair("line", _drawn(line, plane), _drawn(twin, plane), line.kind in _OF_ONE_PLACE)
    lines = [[line for line in field.lines if line.kind is not LineKind.GUIDANCE] for field in (here, there)]
    for plain, same in paired(lines[0], lines[1], lambda item: item.kind):
        yield Pair("line", plane.forward(plain.points), plane.forward(same.points))
    for point, mark in paired(here.points, there.points, lambda item: item.kind):
        here_at, there_at = (plane.forward(np.array([[item.lon, item.lat]])) for item in (point, mark))
        yield Pair("point", here_at, there_at)


def _drawn(line: GuidanceLine, plane: LocalPlane) -> Points:
    """Return a guidance line as a line in the plane: a direction to both sides of A, a pivot as its circle."""
    points = line.points
    if line.kind is GuidanceKind.A_PLUS and line.heading_deg is not None and len(points):
        points = destination(points[0], line.heading_deg + np.array([180.0, 0.0]), STRETCH_M)
    if line.kind is GuidanceKind.PIVOT and line.radius_m and len(points):
        points = destination(points[0], np.linspace(0.0, 360.0, 73), line.radius_m)
        points[-1] = points[0]
    return plane.forward(points)


def _nearest(here: Sequence[Points], there: Sequence[Points]) -> Iterator[tuple[Points, Points]]:
    """Yield rings whose middles are nearest to each other, each once, nearest first."""
    far = [
        (float(np.hypot(*(_middle(ring) - _middle(twin)))), number, index)
        for number, ring in enumerate(here)
        for index, twin in enumerate(there)
    ]
    used: tuple[set[int], set[int]] = (set(), set())
    for _, number, index in sorted(far):
        if number not in used[0] and index not in used[1]:
            used[0].add(number)
            used[1].add(index)
            yield here[number], there[index]


def _middle(points: Points) -> Points:
    return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2.0)


def _near(pair: Pair) -> bool:
    """Tell whether both sides have coordinates, and the boxes about them come as near as the same thing would."""
    if not all(len(side) and np.isfinite(side).all() for side in (pair.moving, pair.fixed)):
        return False
    low = np.maximum(pair.moving.min(axis=0), pair.fixed.min(axis=0))
    high = np.minimum(pair.moving.max(axis=0), pair.fixed.max(axis=0))
    return bool((low - high <= REACH_M).all())
