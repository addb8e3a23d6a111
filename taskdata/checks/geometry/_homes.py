"""Which shapes lie far from where they belong, though not if their coordinates are taken otherwise.

Where a shape belongs is the middle (median) of the fields of the same farm, else of the same customer, else of all;
at least three fields are needed to tell.
"""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from taskdata.checks._ground import on_earth
from taskdata.checks._once import once
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.geodesy import inverse
from taskdata.model.fields import Field

ENOUGH_FIELDS = 3
KILOMETRE = 1000.0
DEGREE_KM = 111.8
"""Kilometres that no degree of latitude, and none of longitude, exceeds."""
FARTHEST_KM = 20_004.0
"""Half way round the Earth, through the poles; so far lies what is not on it."""


@dataclass(frozen=True, slots=True, eq=False)
class MisplacedShape:
    """The shapes of a field that lie elsewhere: the first of them, how many, kilometres as stored and as taken."""

    field: Field
    place: Place
    location: tuple[float, float]
    count: int
    stored_km: float
    taken_km: float


@dataclass(frozen=True, eq=False)
class _Shapes:
    """First point (n, 2) of each shape, place, number of its field, and where it belongs (n, 2), NaN = unknown."""

    middles: Points
    places: list[Place]
    fields: NDArray[np.intp]
    homes: Points


def misplaced_shapes(
    subject: Subject, taken: Callable[[Points], Points], far_km: float, near_km: float
) -> Iterator[MisplacedShape]:
    """Yield each field with shapes that lie beyond ``far_km`` as stored and within ``near_km`` as taken."""
    found = _shapes(subject)
    near = on_earth(found.middles) & (_farthest(found.middles, found.homes) < far_km)
    suspects = np.flatnonzero(~near)
    middles, homes = found.middles[suspects], found.homes[suspects]
    stored, other = _kilometres(middles, homes), _kilometres(taken(middles), homes)
    wrong = np.flatnonzero((stored > far_km) & (other < near_km) & ~is_zero(middles))
    first: dict[int, int] = {}
    counts: Counter[int] = Counter()
    for at in wrong.tolist():
        number = int(found.fields[suspects[at]])
        first.setdefault(number, at)
        counts[number] += 1
    for number, at in first.items():
        lon, lat = middles[at].tolist()
        place, kilometres = found.places[int(suspects[at])], min(float(stored[at]), FARTHEST_KM)
        yield MisplacedShape(
            subject.dataset.fields[number], place, (lon, lat), counts[number], kilometres, float(other[at])
        )


def _kilometres(points: Points, homes: Points) -> Floats:
    """Return distances, infinite where a point is none on Earth or there is nothing to compare with."""
    result = np.full(len(points), np.inf)
    good = on_earth(points) & on_earth(homes)
    if good.any():
        result[good] = inverse(points[good], homes[good])[1] / KILOMETRE
    return result


def _farthest(points: Points, homes: Points) -> Floats:
    """Return kilometres that distances do not exceed; NaN where there is nothing to compare with."""
    with np.errstate(invalid="ignore"):
        apart = np.abs(points - homes)
        return np.asarray((np.minimum(apart[:, 0], 360.0 - apart[:, 0]) + apart[:, 1]) * DEGREE_KM)


@once
def _shapes(subject: Subject) -> _Shapes:
    middles, numbers = array("d"), array("q")
    places: list[Place] = []
    for number, field in enumerate(subject.dataset.fields):
        for points, place in _of(field):
            if len(points):
                middles.extend(points[0].tolist())
                numbers.append(number)
                places.append(place)
    spots = np.frombuffer(middles).reshape(-1, 2) if middles else np.empty((0, 2))
    fields = np.array(numbers, dtype=np.intp)
    return _Shapes(spots, places, fields, _homes(subject.dataset.fields, fields, spots))


def _of(field: Field) -> Iterator[tuple[Points, Place]]:
    """Yield points and place of every shape of a field, its boundary first."""
    for area in (*field.boundaries, *field.areas):
        yield area.exteriors[0], area.place
    for line in field.lines:
        yield line.points, line.place
    for pattern in field.guidance:
        yield pattern.points, pattern.place
    for point in field.points:
        yield np.array([[point.lon, point.lat]]), point.place


def _homes(fields: tuple[Field, ...], numbers: NDArray[np.intp], middles: Points) -> Points:
    """Return where the field of each shape belongs by the others, NaN where too few are there to tell, (n, 2)."""
    is_first = np.append(True, numbers[1:] != numbers[:-1])[: len(numbers)]
    firsts = np.flatnonzero(is_first)
    groups: dict[tuple[str, str | None], array[int]] = {}
    for first, number in zip(firsts.tolist(), numbers[firsts].tolist(), strict=True):
        for key in _keys(fields[number]):
            groups.setdefault(key, array("q")).append(first)
    known = {key: _median(middles[np.array(found)]) for key, found in groups.items() if len(found) >= ENOUGH_FIELDS}
    nowhere = np.full(2, np.nan)
    homes = np.empty((len(firsts), 2))
    for at, number in enumerate(numbers[firsts].tolist()):
        homes[at] = next((known[key] for key in _keys(fields[number]) if key in known), nowhere)
    return np.asarray(homes[np.cumsum(is_first) - 1])


def _keys(field: Field) -> Iterator[tuple[str, str | None]]:
    """Yield the groups of fields that a field belongs to, the closest first."""
    if field.farm is not None:
        yield "farm", field.farm
    if field.customer is not None:
        yield "customer", field.customer
    yield "all", None


def _median(points: Points) -> Points:
    """Return longitude and latitude that as many lie beyond as before; each is that of one of the points."""
    return np.asarray(np.sort(points, axis=0)[(len(points) - 1) // 2])
