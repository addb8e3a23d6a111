"""By what things are recognised: the steps for each kind of element, from the surest to the least sure."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass

from taskdata.isoxml.element import Element
from taskdata.isoxml.facts import AttributeFact, elements, letter
from taskdata.model.shapes import Coordinates
from taskdata.sets.joining.contents import Contents
from taskdata.sets.joining.places import points_of, same_ground, same_place
from taskdata.sets.joining.records import How
from taskdata.sets.joining.sources import Source, is_link_list
from taskdata.sets.keys import OWN_KEYS
from taskdata.sets.side import name_of

BOUNDARY = "1"
Member = tuple[int, Element]
_VALUES_ONLY = {"VPN", "CLD"}
_PLACED = {"LSG", "PNT", "GPN", "BSN"}
_BY_FILE = {"TLG", "AFE"}
_NEVER_BY_NAME = {"TSK", "DVC", "DET", *_VALUES_ONLY, *_PLACED, "PLN", "PFD", "AFE"}
_TELLING = {"xs:IDREF", "xs:NMTOKEN", "xs:hexBinary"}


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

    def __init__(self, sources: list[Source], contents: Contents) -> None:
        self.sources = sources
        self.contents = contents
        self._points: dict[Element, Coordinates] = {}

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
            yield Step(How.NAME, lambda _, item: _named(item, item.id), self._agree)
            yield Step(How.NAME, lambda _, item: _named(item), self._agree)
        else:
            yield from self._by_place(tag, parent)

    def _own(self, tag: str, parent: str | None) -> Iterator[Step]:
        """Yield the steps that only some kinds have."""
        if tag in OWN_KEYS and tag not in {*_BY_FILE, "PRN"}:
            yield Step(How.KEY, self._own_key)
        if tag == "AFE":
            yield Step(How.KEY, self._attachment)
        elif tag == "DVC":
            yield Step(How.KEY, _description)
        elif tag == "DET":
            yield Step(How.KEY, lambda _, item: [item.get("DeviceElementObjectId")])
        elif tag == "TSK":
            yield Step(How.PLAN, self._plan)
        elif tag == "TIM":
            yield Step(How.KEY, lambda _, item: [(item.get("Start"), item.get("Type"))], _grown)
        elif tag == "TLG":
            yield Step(How.CONTENT, lambda index, item: [self._file(index, item)])
            yield Step(How.KEY, self._log, self._longer)

    def _by_place(self, tag: str, parent: str | None) -> Iterator[Step]:
        """Yield the steps for what lies somewhere."""
        if tag == "PLN":
            yield Step(How.PLACE, lambda _, item: [(item.get("PolygonType"), name_of(item))], self._grounded)
            if parent == "PFD":
                yield Step(How.KEY, lambda _, item: [BOUNDARY] if is_boundary(item) else [])
        elif tag in _PLACED:
            yield Step(How.PLACE, lambda _, item: [(_kind(item), name_of(item))], self._placed)

    def _links(self, index: int, item: Element) -> Iterable[Hashable]:
        return self.sources[index].side.link(item)

    def _id_and_content(self, index: int, item: Element) -> list[Hashable]:
        return [] if item.id is None else [(item.id, self.contents.digest(index, item))]

    def _values(self, index: int, item: Element) -> list[Hashable]:
        by_values = item.id is None or item.tag in _VALUES_ONLY
        return [self.contents.digest(index, item)] if by_values else []

    def _own_key(self, index: int, item: Element) -> list[Hashable]:
        texts = [self.contents.text(index, item, letter(item.tag, name)) for name in OWN_KEYS[item.tag]]
        return [tuple(texts)] if any(texts) else []

    def _attachment(self, index: int, item: Element) -> list[Hashable]:
        name = (item.get("FilenameWithExtension") or "").upper()
        return [name if is_link_list(item) else (name, self.sources[index].digest(name))]

    def _plan(self, index: int, item: Element) -> list[Hashable]:
        """Return identifier, name and what the task is for; of a task made on a machine also its first record.

        Machines number what they make from -1 on, so that one number means other tasks on other machines.
        """
        names = ("TaskDesignator", "PartfieldIdRef", "CustomerIdRef", "FarmIdRef")
        plan = [self.contents.text(index, item, letter("TSK", name)) for name in names]
        if item.id is None or not (plan[0] or plan[1]):
            return []
        first = next(item.elements("TIM"), None) or next(item.elements("TLG"), None)
        made = item.id.startswith("TSK-")
        record = self.contents.digest(index, first) if made and first is not None else None
        return [] if made and record is None else [(item.id, *plan, record)]

    def _file(self, index: int, item: Element) -> Hashable:
        return self.contents.file(index, item) if item.get("Filename") else None

    def _log(self, index: int, item: Element) -> list[Hashable]:
        name = item.get("Filename")
        return [] if name is None else [(name, self.contents.header(index, name))]

    def _longer(self, one: Member, two: Member) -> bool:
        """Tell whether one log is the beginning of the other: the same log, copied earlier."""
        names = [f"{item.get('Filename')}.BIN" for _, item in (one, two)]
        blobs = [self.sources[index].file(name) for (index, _), name in zip((one, two), names, strict=True)]
        if blobs[0] is None or blobs[1] is None:
            return False
        short, long = sorted((blobs[0], blobs[1]), key=lambda blob: blob.size)
        with short.opener() as left, long.opener() as right:
            while chunk := left.read(1 << 20):
                if chunk != right.read(len(chunk)):
                    return False
        return True

    def _grounded(self, one: Member, two: Member) -> bool:
        return same_ground(one[1], two[1], named=bool(name_of(one[1])))

    def _placed(self, one: Member, two: Member) -> bool:
        for _, item in (one, two):
            if item not in self._points:
                self._points[item] = points_of(item)
        return self._agree(one, two) and same_place(self._points[one[1]], self._points[two[1]])

    def _agree(self, one: Member, two: Member) -> bool:
        """Tell whether two things of one name contradict each other in no reference, choice or code."""
        for fact in _telling(one[1].tag):
            texts = [self.contents.text(index, item, fact.letter) for index, item in (one, two)]
            if all(texts) and texts[0] != texts[1]:
                return False
        parts = [[self.contents.digest(index, part) for part in item.elements("PRN")] for index, item in (one, two)]
        return not all(parts) or parts[0] == parts[1]


def is_boundary(element: Element) -> bool:
    """Tell whether a polygon (PLN) is the boundary of a field."""
    return element.get("PolygonType") == BOUNDARY


def common_name(element: Element) -> str:
    """Return the name of an element as it counts for recognising: case and white space aside."""
    return " ".join(name_of(element).split()).casefold()


def _named(element: Element, identifier: str | None = None) -> list[Hashable]:
    name = common_name(element)
    return [(identifier, name)] if name else []


def _telling(tag: str) -> list[AttributeFact]:
    fact = elements().get(tag)
    return [] if fact is None else [item for item in fact.attributes.values() if item.type in _TELLING]


def _kind(element: Element) -> str | None:
    names = {"LSG": "LineStringType", "PNT": "PointType", "GPN": "GuidancePatternType"}
    return element.get(names[element.tag]) if element.tag in names else None


def _description(_: int, item: Element) -> list[Hashable]:
    """Return what tells a description of a device from any other (ISO 11783-10, 5.3, A.1; R-106)."""
    marks = [(item.get(name) or "").upper() for name in ("ClientNAME", "DeviceStructureLabel")]
    return [tuple(marks)] if all(marks) else []


def _grown(one: Member, two: Member) -> bool:
    """Tell whether one record of time is the other, read while it was still running."""
    return all(one[1].attributes.get(name, text) == text for name, text in two[1].attributes.items())


def _stands_alone(parent: str | None, tag: str) -> bool:
    """Tell whether a parent has at most one such child."""
    fact = elements().get(parent or "")
    return fact is not None and any(child.tag == tag and child.most == 1 for child in fact.children)
