"""Every ring and line of a data set: what each is roughly like, and some of them exactly, a few thousand at a time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from taskdata.checks._courses import Course, Courses, Indexes, Mask, ring_of
from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.course_facts import CourseFacts, course_facts
from taskdata.model.fields import Field, GuidanceLine
from taskdata.model.shapes import Area, Line

Named: TypeAlias = tuple[str, Area | Line | GuidanceLine]
"""A record, with the identifier of its field or task before it."""

BROADLY = 1.05
"""How many times a rough figure may be the exact one."""
AREA_ERROR = 0.003
"""Share by which a rough area may be off at most to be used."""
_PIECE = 100_000
"""About how many points are looked at exactly together."""


@dataclass(frozen=True, slots=True, eq=False)
class Soundness:
    """Of n rings, (n,): which are valid, which have a shape in a plane; and their extents (n, 4), see ``Courses``."""

    is_valid: Mask
    has_degrees: Mask
    extents: Floats


class CourseSet:
    """Rings or lines in the order of the source, by number from 0.

    Parameters
    ----------
    named : iterable of Named
        Their records.
    are_rings : bool
        All rings of polygons, or else lines.
    """

    def __init__(self, named: Iterable[Named], *, are_rings: bool) -> None:
        self.are_rings = are_rings
        self._owners: list[str] = []
        self._records: list[Area | Line | GuidanceLine] = []
        self._points: list[Points] = []
        self._holes: list[bool] = []
        for owner, record in named:
            outer, inner = (record.exteriors, record.interiors) if isinstance(record, Area) else ((record.points,), ())
            count = len(outer) + len(inner)
            self._points += (*outer, *inner)
            self._holes += [False] * len(outer) + [True] * len(inner)
            self._owners += [owner] * count
            self._records += [record] * count

    def __len__(self) -> int:
        return len(self._points)

    def course(self, number: int) -> Course:
        """Return a ring or line."""
        owner, record, points = self._owners[number], self._records[number], self._points[number]
        if isinstance(record, Area):
            return ring_of(owner, record, points, self._holes[number])
        return Course(record, owner, points)

    def is_hole(self, number: int) -> bool:
        """Tell whether a ring is an inner one."""
        return self._holes[number]

    def numbers(self, area: Area) -> range:
        """Return the numbers of the rings of a polygon, the outer ones first; none where it is not among them."""
        first = self._first.get(id(area))
        return range(0) if first is None else range(first, first + _count(area))

    @cached_property
    def _first(self) -> dict[int, int]:
        """The number of the first ring of each polygon, by the ``id`` of its record."""
        found: dict[int, int] = {}
        for number, record in enumerate(self._records):
            found.setdefault(id(record), number)
        return found

    @cached_property
    def facts(self) -> CourseFacts:
        """What each is roughly like."""
        return course_facts(self._points, are_rings=self.are_rings)

    def suspects(self, odd: Mask) -> Iterator[tuple[Indexes, Courses]]:
        """Yield numbers and courses of those that are ``odd`` (n,), and of all that are not plain, some at a time."""
        return self.exactly(np.flatnonzero(odd | ~self.facts.is_plain))

    def exactly(self, numbers: Indexes) -> Iterator[tuple[Indexes, Courses]]:
        """Yield numbers and courses of those of ascending numbers, some at a time."""
        sizes = self.facts.sizes[numbers]
        cuts = np.flatnonzero(np.diff((np.cumsum(sizes) - sizes) // _PIECE)) + 1
        for first, last in pairwise([0, *cuts.tolist(), len(numbers)]):
            if first < last:
                part = numbers[first:last]
                yield part, Courses(tuple(map(self.course, part.tolist())))

    @cached_property
    def soundness(self) -> Soundness:
        """Which rings are valid, and where they lie."""
        facts = self.facts
        unsure = np.flatnonzero(~facts.is_simple)
        extents = facts.extents.copy() if len(unsure) else facts.extents
        found = Soundness(facts.is_simple.copy(), facts.is_plain.copy(), extents)
        for numbers, courses in self.exactly(unsure):
            found.is_valid[numbers], found.has_degrees[numbers] = courses.is_valid, courses.has_degrees
            found.extents[numbers] = courses.extents
        return found

    @cached_property
    def areas(self) -> Floats:
        """Square metres of each ring, off by less than 0.5 percent from those of ``Courses``, (n,)."""
        areas = self.facts.areas.copy()
        for numbers, courses in self.suspects(self.facts.area_errors > AREA_ERROR * areas):
            areas[numbers] = courses.areas
        return areas


@once
def rings(subject: Subject) -> CourseSet:
    """Return every ring of every field and treatment zone, outer rings first in each polygon; made once for a set."""
    return CourseSet(areas(subject), are_rings=True)


@once
def boundary_rings(subject: Subject) -> Indexes:
    """Return of each field the number of the first ring of its boundaries, (fields,); the others follow."""
    counts = [sum(map(_count, _areas_of(field))) for field in subject.dataset.fields]
    return np.cumsum([0, *counts[:-1]], dtype=np.intp)


def boundary_numbers(subject: Subject, at: int) -> range:
    """Return the numbers of the rings of the boundaries of a field, the outer ones first in each polygon."""
    first = int(boundary_rings(subject)[at])
    return range(first, first + sum(map(_count, subject.dataset.fields[at].boundaries)))


def _count(area: Area) -> int:
    """Return how many rings a polygon has."""
    return len(area.exteriors) + len(area.interiors)


@once
def lines(subject: Subject) -> CourseSet:
    """Return every line of every field and every course of guidance patterns; made once for a set."""
    return CourseSet(
        ((field.id, record) for field in subject.dataset.fields for record in _records(field)), are_rings=False
    )


def _records(field: Field) -> Iterator[Line | GuidanceLine]:
    yield from field.lines
    yield from field.guidance


def areas(subject: Subject) -> Iterator[tuple[str, Area]]:
    """Yield every polygon with the identifier of its field or task."""
    for field in subject.dataset.fields:
        for area in _areas_of(field):
            yield field.id, area
    for task in subject.dataset.tasks:
        for zone in task.zones:
            for area in zone.areas:
                yield task.id, area


def _areas_of(field: Field) -> tuple[Area, ...]:
    """Return the polygons of a field, those of its boundary first."""
    return (*field.boundaries, *field.areas, *_valid_areas(field))


def _valid_areas(field: Field) -> Iterator[Area]:
    """Yield where the guidance of a field is valid."""
    for group in field.groups:
        yield from group.boundaries
        for line in group.lines:
            yield from line.boundaries
