"""Every line string of a document with all points in one array, so that a repair looks at all of them at once."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Floats, Points, distinct
from taskdata.isoxml.tree.document import LINE_STRING, Document
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.mapped import ArrayStore

Indexes = NDArray[np.intp]
Mask = NDArray[np.bool_]


RING_TYPES = ("1", "2")


class AllStrings:
    """The line strings (LSG) of main and external files as they stand, in document order.

    Attributes
    ----------
    found : tuple of Element
        The strings.
    flat : Points
        Longitude and latitude of all their points, (n, 2); NaN where one has no place in XML.
    sizes, starts : int array (strings,)
        How many points each has, and where they begin in ``flat``.
    """

    def __init__(self, document: Document) -> None:
        self.found: tuple[Element, ...] = tuple(document.by_tag.get(LINE_STRING, ()))
        parts = [_points(string) for string in self.found]
        self.sizes: Indexes = np.array([len(part) for part in parts], dtype=np.intp)
        self.starts: Indexes = np.cumsum(self.sizes) - self.sizes
        kept = ArrayStore().kept
        self.flat: Points = kept(np.concatenate([np.empty((0, 2)), *parts]))
        self._home: Indexes = kept(np.repeat(np.arange(len(parts)), self.sizes))

    def points(self, number: int) -> Points:
        """Return the points of one string, (n, 2)."""
        return self.flat[self.rows(number)]

    def rows(self, number: int) -> slice:
        """Return which rows of ``flat`` belong to one string."""
        return slice(self.starts[number], self.starts[number] + self.sizes[number])

    def with_any(self, points: Mask) -> list[int]:
        """Return the numbers of the strings that have one of some points; ``points`` (n,) tells which."""
        return [int(number) for number in distinct(self._home[points])]

    @cached_property
    def repeats(self) -> Mask:
        """Which points lie at the very place of the one before them in their string, (n,)."""
        found = np.zeros(len(self.flat), dtype=np.bool_)
        found[1:] = (self.flat[1:] == self.flat[:-1]).all(axis=1) & (self._home[1:] == self._home[:-1])
        return found

    @cached_property
    def spans(self) -> Floats:
        """Degrees of longitude that each string extends over, (strings,); NaN with a point that has no place."""
        found, filled = np.zeros(len(self.found)), self.sizes > 0
        if filled.any():
            lon, starts = self.flat[:, 0], self.starts[filled]
            found[filled] = np.maximum.reduceat(lon, starts) - np.minimum.reduceat(lon, starts)
        return found

    @cached_property
    def in_xml(self) -> Mask:
        """Whether a string has points, and all of them stand in XML and have a place, (strings,)."""
        elsewhere = ~np.isfinite(self.flat).all(axis=1)
        return np.asarray((self.sizes > 0) & (np.bincount(self._home[elsewhere], minlength=len(self.found)) == 0))

    @cached_property
    def rings(self) -> Indexes:
        """The numbers of the rings of polygons whose points all stand in XML."""
        return np.array([at for at, string in enumerate(self.found) if self.in_xml[at] and is_ring(string)], np.intp)


def is_ring(string: Element) -> bool:
    """Tell whether a line string is a ring of a polygon."""
    in_polygon = string.parent is not None and string.parent.tag == "PLN"
    return in_polygon and string.get("LineStringType") in RING_TYPES


def _points(string: Element) -> Points:
    children = string.children
    if len(children) == 1 and isinstance(children[0], PointRun):
        return children[0].positions()
    return string.coordinates()
