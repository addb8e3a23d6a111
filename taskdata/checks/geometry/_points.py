"""Coordinates of line strings in bulk: whole columns are turned into numbers once, lines are views of them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.checks.subject import Subject
from taskdata.geometry.arrays import Points
from taskdata.isoxml.binary.points import PointRecords, read_points
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_model.reading import number
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.isoxml.tree.filenames import file_name


class Courses:
    """Gives longitude and latitude of the points of line strings (LSG), binary point files included."""

    def __init__(self, subject: Subject) -> None:
        self._subject = subject
        self._north, self._east = letter(POINT, "PointNorth"), letter(POINT, "PointEast")

    def stored(self, element: Element) -> Points:
        """Return the points (n, 2) of a line string in degrees, NaN where a position cannot be read."""
        children = element.children
        if len(children) == 1 and isinstance(children[0], PointRun):
            return children[0].positions()
        return np.concatenate([np.empty((0, 2)), *self._parts(element)])

    def of(self, element: Element) -> Points:
        """Return the points (n, 2) of a line string in degrees, those without a readable position left out."""
        points = self.stored(element)
        readable = np.isfinite(points).all(axis=1)
        return points if readable.all() else points[readable]

    def _parts(self, element: Element) -> Iterator[Points]:
        for child in element.children:
            if isinstance(child, PointRun):
                yield child.positions()
            elif isinstance(child, Element) and child.tag == POINT:
                records = stored(self._subject, child)
                yield self._of_element(child) if records is None else _of_records(records)

    def _of_element(self, element: Element) -> Points:
        return np.array([[number(element, name) for name in (self._east, self._north)]])


def stored(subject: Subject, element: Element) -> PointRecords | None:
    """Return the points in the binary file that a point names; None where it names none that can be read."""
    name = file_name(element)
    return read_points(subject.file(f"{name}.BIN") if name else None, element.attributes)


def _of_records(records: PointRecords) -> Points:
    return np.column_stack([records.longitude(), records.latitude()])
