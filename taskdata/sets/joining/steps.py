"""By what things are recognised: the steps for each kind of element, from the surest to the least sure."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from string import digits
from typing import Any

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.isoxml.tree.filenames import file_name, is_link_list
from taskdata.model.shapes import Coordinates
from taskdata.results.merging import How
from taskdata.sets.joining.agreeing import Agreement, Member
from taskdata.sets.joining.contents import Contents
from taskdata.sets.joining.places import ground_of, points_of, same_ground, same_place
from taskdata.sets.joining.same_work import ALLOCATIONS, WorkMatcher
from taskdata.sets.joining.sources import MISSING, RankedSource
from taskdata.sets.keys import OWN_KEYS
from taskdata.sets.side import BOUNDARY, name_of

_VALUES_ONLY = {"VPN", "CLD"}
_PLACED = {"LSG", "PNT", "GPN", "BSN"}
_BY_FILE = {"TLG", "AFE"}
_NEVER_BY_NAME = {"TSK", "DVC", "DET", *_VALUES_ONLY, *_PLACED, "PLN", "PFD", "AFE"}
_CELL = (2e-4, 4e-6)
"""Degrees of longitude and latitude of a cell, more than twice ``SAME_PLACE_M`` short of the poles."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Parameters
    ----------
    how : How
        What it goes by.
    keys : callable
        Returns the keys of an element of a source; things with one key may be one.
    test : callable or None
        Tells of two of them whether they are.
    """

    how: How
    keys: Callable[[int, Element], Iterable[Hashable]]
    test: Callable[[Member, Member], bool] | None = None


class Steps:
    """The steps for the sources of one merge."""

    def __init__(self, sources: list[RankedSource], contents: Contents) -> None:
        self.sources = sources
        self.contents = contents
        self.agree = Agreement(contents).agree
        self._work = WorkMatcher(sources, contents)
        self._points: dict[Element, Coordinates] = {}
        self._grounds: dict[Element, Any] = {}

    def of(self, tag: str, parent: str | None, *, by_order: bool) -> Iterator[Step]:
        """Yield the steps for elements of ``tag`` in a ``parent``, None at the top.

        ``by_order`` says that what is left is told by its order: where a parent is taken whole from one source.
        """
        yield Step(How.LINK, self._links)
        yield Step(How.CONTENT, self._id_and_content)
        if tag not in _BY_FILE:
            yield Step(How.VALUES, self._values)
        yield from self._own(tag, parent)
        if by_order or _stands_alone(parent, tag):
            yield Step(How.KEY, lambda _, item: [item.tag])
        elif tag in elements() and tag not in _NEVER_BY_NAME:
            yield Step(How.NAME, lambda _, item: _named(item, item.id), self.agree)
            yield Step(How.NAME, lambda _, item: _named(item), self.agree)
        else:
            yield from self._by_place(tag, parent)

    def _own(self, tag: str, parent: str | None) -> Iterator[Step]:
        """Yield the steps that only some kinds have."""
        if tag in OWN_KEYS and tag not in {*_BY_FILE, "PRN"}:
            yield Step(How.KEY, self._own_key)
        if tag == "AFE":
            yield Step(How.KEY, self._attachment)
            yield Step(How.CONTENT, self._attached, _renamed)
            yield Step(How.KEY, lambda _, item: [(item.get("FilenameWithExtension") or "").upper()], self._one_lost)
        elif tag == "DVC":
            yield Step(How.KEY, _description)
        elif tag == "DET":
            yield Step(How.KEY, lambda _, item: [item.get("DeviceElementObjectId")])
        elif tag == "TSK":
            yield Step(How.VALUES, self._work.done, self._work.same_work)
            yield Step(How.PLAN, self._work.task, self._work.same_task)
        elif tag == "TIM":
            yield Step(How.KEY, self._work.time, self._work.same_time)
        elif tag in ALLOCATIONS:
            yield Step(How.KEY, self._work.allocation, self._work.same_allocation)
        elif tag == "TLG":
            yield Step(How.CONTENT, self._work.recorded)
            yield Step(How.KEY, self._work.log, self._work.longer)
            yield Step(How.KEY, self._work.named_log, self._work.copied_in_part)
        elif tag == "GGP":
            yield Step(How.LINE, self._spots_within, self._line_in_common)

    def _by_place(self, tag: str, parent: str | None) -> Iterator[Step]:
        """Yield the steps for what lies somewhere."""
        if tag == "PLN":
            yield Step(How.PLACE, lambda _, item: [(item.get("PolygonType"), name_of(item))], self._grounded)
            if parent == "PFD":
                yield Step(How.KEY, lambda _, item: [BOUNDARY] if is_boundary(item) else [])
        elif tag in _PLACED:
            yield Step(How.PLACE, self._spots, self._placed)

    def _links(self, index: int, item: Element) -> Iterable[Hashable]:
        return self.sources[index].side.link(item)

    def _id_and_content(self, index: int, item: Element) -> list[Hashable]:
        if item.id is None:
            return []
        key = (item.id, self.contents.digest(index, item))
        return [(*key, self.sources[index].fingerprint) if _is_bare(item) else key]

    def _values(self, index: int, item: Element) -> list[Hashable]:
        by_values = item.id is None or item.tag in _VALUES_ONLY
        return [self.contents.digest(index, item)] if by_values else []

    def _own_key(self, index: int, item: Element) -> list[Hashable]:
        texts = [self.contents.text(index, item, letter(item.tag, name)) for name in OWN_KEYS[item.tag]]
        return [tuple(texts)] if any(texts) else []

    def _attachment(self, index: int, item: Element) -> list[Hashable]:
        name = (item.get("FilenameWithExtension") or "").upper()
        return [name if is_link_list(item) else (name, self.sources[index].digest(name))]

    def _attached(self, index: int, item: Element) -> list[Hashable]:
        """Return what tells an attached file whose number another file took in an earlier merge."""
        name = item.get("FilenameWithExtension") or ""
        digest = self.sources[index].digest(name)
        if digest == MISSING or is_link_list(item):
            return []
        return [(name.upper().partition(".")[2], digest, item.get("ManufacturerGLN"), item.get("FileType"))]

    def _one_lost(self, one: Member, two: Member) -> bool:
        """Tell whether a file of one of them is lost, as in a copy that was not finished."""
        return any(self.sources[index].lost(item) for index, item in (one, two))

    def _grounded(self, one: Member, two: Member) -> bool:
        for _, item in (one, two):
            if item not in self._grounds:
                self._grounds[item] = ground_of(item)
        return same_ground(self._grounds[one[1]], self._grounds[two[1]], named=bool(name_of(one[1])))

    def _spots(self, index: int, item: Element) -> list[Hashable]:
        """Return kind, name and the cells a thing lies in: in four grids, so that two near ones share a cell of one.

        Of a line whose points lie in binary files, what stands in these.
        """
        points = self._where(item)
        if not len(points):
            named = [part for part in item.walk() if part.tag == POINT and part.get("Filename")]
            told = _told(item)
            names = [(*told, *(file_name(part) for part in named))] if named else []
            return [(*told, *(self.contents.file(index, part) for part in named)), *names] if named else []
        return spots_of(item, points)

    def _placed(self, one: Member, two: Member) -> bool:
        if set(self._spots(*one)).isdisjoint(self._spots(*two)) or not self.agree(one, two):
            return False
        here, there = self._where(one[1]), self._where(two[1])
        if len(here) or len(there):
            return same_place(here, there)
        return self._spots(*one)[:1] == self._spots(*two)[:1] or self._one_lost(one, two)

    def _spots_within(self, index: int, group: Element) -> list[Hashable]:
        """Return where the lines of a group lie that has no name to go by."""
        lines = [] if common_name(group) else group.elements("GPN")
        return [spot for line in lines for spot in self._spots(index, line)]

    def _line_in_common(self, one: Member, two: Member) -> bool:
        here, there = ([(index, line) for line in group.elements("GPN")] for index, group in (one, two))
        return any(self._placed(left, right) for left in here for right in there)

    def _where(self, item: Element) -> Coordinates:
        if item not in self._points:
            self._points[item] = points_of(item)
        return self._points[item]


def _is_bare(element: Element) -> bool:
    """Tell whether an element is a field that a machine made and that nothing but its name tells from any other."""
    made = element.tag == "PFD" and (element.id or "").startswith("PFD-")
    return made and not any(element.elements())


def is_boundary(element: Element) -> bool:
    """Tell whether a polygon (PLN) is the boundary of a field."""
    return element.get("PolygonType") == BOUNDARY


def common_name(element: Element) -> str:
    """Return the name of an element as it counts for recognising: case and white space aside."""
    return " ".join(name_of(element).split()).casefold()


def _named(element: Element, identifier: str | None = None) -> list[Hashable]:
    name = common_name(element)
    return [(identifier, name)] if name else []


def _told(element: Element) -> tuple[str | None, str]:
    """Return kind and name of a line or point."""
    names = {"LSG": "LineStringType", "PNT": "PointType", "GPN": "GuidancePatternType"}
    return (element.get(names[element.tag]) if element.tag in names else None), common_name(element)


def spots_of(element: Element, points: Coordinates) -> list[Hashable]:
    """Return kind, name and cells of a line or point, (n, 2) degrees with at least one: see ``Steps``."""
    cells = points.min(axis=0) / _CELL
    shifts = ((0.0, 0.0), (0.0, 0.5), (0.5, 0.0), (0.5, 0.5))
    return [(*_told(element), shift, *np.floor(cells + shift).tolist()) for shift in shifts]


def _renamed(one: Member, two: Member) -> bool:
    """Tell whether the name of one attached file may be that of another with another number."""
    bare = [
        (item.get("FilenameWithExtension") or "").upper().partition(".")[0].rstrip(digits) for _, item in (one, two)
    ]
    return bare[0].startswith(bare[1]) or bare[1].startswith(bare[0])


def _description(_: int, item: Element) -> list[Hashable]:
    """Return what tells a description of a device from any other (ISO 11783-10, 5.3, A.1; R-106)."""
    marks = [(item.get(name) or "").upper() for name in ("ClientNAME", "DeviceStructureLabel")]
    return [tuple(marks)] if all(marks) else []


def _stands_alone(parent: str | None, tag: str) -> bool:
    """Tell whether a parent has at most one such child."""
    fact = elements().get(parent or "")
    return fact is not None and any(child.tag == tag and child.most == 1 for child in fact.children)
