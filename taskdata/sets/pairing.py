"""Which element of one set is which of another.

Equal things are recognised by an identifying link, else by identifier and content, else by name and geometry, else by
geometry alone, and last by identifier alone. What has no identifier is told apart inside its parent: zones by code,
objects of a device by number, files by name, the rest by what it says and then by its order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

import shapely

from taskdata.isoxml.element import Element
from taskdata.isoxml.facts import elements, letter
from taskdata.sets.side import Side, name_of

SAME_OUTLINE = 0.8
"""Share of the common area in the whole from which two outlines are the same field."""

SAME_OUTLINE_AND_NAME = 0.3
"""The same for two fields of one name."""

OWN_KEYS = {
    "TZN": ("TreatmentZoneCode",),
    "DPD": ("DeviceProcessDataObjectId",),
    "DPT": ("DevicePropertyObjectId",),
    "DVP": ("DeviceValuePresentationObjectId",),
    "DOR": ("DeviceObjectId",),
    "TLG": ("Filename",),
    "GRD": ("Filename",),
    "AFE": ("FilenameWithExtension",),
    "PRN": ("ProductIdRef",),
}
"""What tells an element without an identifier from its brothers."""

_Test = Callable[[Element, Element], bool]


@dataclass
class Pairs:
    """What belongs together.

    Parameters
    ----------
    same : dict of Element to Element
        From the first set to the second.
    only_first, only_second : list of Element
        What has no counterpart, though its parent has; what stands below is not listed.
    """

    same: dict[Element, Element] = field(default_factory=dict)
    only_first: list[Element] = field(default_factory=list)
    only_second: list[Element] = field(default_factory=list)

    @property
    def ids(self) -> dict[str, str]:
        """Identifiers of the first set to those of the second."""
        both = ((one.id, two.id) for one, two in self.same.items())
        return {one: two for one, two in both if one is not None and two is not None}


def pair(first: Side, second: Side) -> Pairs:
    """Pair the elements of two sets, one of which goes back to the other, as what came back to what was sent.

    Things with the same identifier and nothing else in common are paired last; for sets of different origin, where
    that means nothing, see ``taskdata.sets.joining``.
    """
    pairs = Pairs()
    matcher = _Matcher(first, second)
    tags = dict.fromkeys(
        item.tag for side in (first, second) for file in side.document.task_files for item in file.root.elements()
    )
    for tag in tags:
        if tag != "XFR":
            matcher.match(first.document.top(tag), second.document.top(tag), pairs)
    return pairs


class _Matcher:
    """The steps of pairing, from the surest to the least sure."""

    def __init__(self, first: Side, second: Side) -> None:
        self.first = first
        self.second = second

    def match(self, ones: list[Element], twos: list[Element], pairs: Pairs) -> None:
        """Pair two lists of elements of one tag, and what stands in them."""
        left, right = dict.fromkeys(ones), dict.fromkeys(twos)
        for keys in self._keys(ones):
            _by_key(left, right, keys, pairs)
        self._by_outline(left, right, pairs)
        _by_key(left, right, (lambda item: item.id, lambda item: item.id), pairs)
        pairs.only_first += left
        pairs.only_second += right
        for one in ones:
            if one in pairs.same:
                self._children(one, pairs.same[one], pairs)

    def _keys(self, ones: list[Element]) -> Iterator[tuple[Callable[[Element], object], Callable[[Element], object]]]:
        """Yield what is compared, step by step: a key of the first and one of the second set, None = not by this."""
        yield lambda item: self.first.link(item) or None, lambda item: self.second.link(item) or None
        yield _id_and_name, _id_and_name
        yield _own_key, _own_key
        yield _id_and_content, _id_and_content
        yield lambda item: _name(item, self.first), lambda item: _name(item, self.second)
        yield _content, _content
        if ones and ones[0].id is None and ones[0].tag not in OWN_KEYS:
            yield _tag, _tag

    def _children(self, one: Element, two: Element, pairs: Pairs) -> None:
        for tag in dict.fromkeys(child.tag for child in (*one.elements(), *two.elements())):
            self.match(list(one.elements(tag)), list(two.elements(tag)), pairs)

    def _by_outline(self, left: dict[Element, None], right: dict[Element, None], pairs: Pairs) -> None:
        """Pair fields that lie on the same ground, those that lie most alike first."""
        mine = [item for item in left if item in self.first.outlines]
        yours = [item for item in right if item in self.second.outlines]
        if not mine or not yours:
            return
        here = [self.first.outlines[item] for item in mine]
        there = [self.second.outlines[item] for item in yours]
        ones, twos = shapely.STRtree(there).query(here, predicate="intersects")
        found = []
        for one, two in zip(ones.tolist(), twos.tolist(), strict=True):
            share = common_share(here[one], there[two])
            least = SAME_OUTLINE_AND_NAME if name_of(mine[one]) == name_of(yours[two]) else SAME_OUTLINE
            if share >= least:
                found.append((-share, one, two))
        for _, one, two in sorted(found):
            if mine[one] in left and yours[two] in right:
                _join(left, right, mine[one], yours[two], pairs)


def common_share(here: Any, there: Any) -> float:
    """Return the share of the common area in the whole area of two valid outlines in degrees, 0 to 1."""
    whole = here.union(there).area
    return float(here.intersection(there).area / whole) if whole > 0.0 else 0.0


def _by_key(
    left: dict[Element, None],
    right: dict[Element, None],
    keys: tuple[Callable[[Element], object], Callable[[Element], object]],
    pairs: Pairs,
) -> None:
    """Pair what has the same key; of several with one key, in their order."""
    waiting: dict[object, list[Element]] = {}
    for two in right:
        key = keys[1](two)
        if key is not None:
            waiting.setdefault(key, []).append(two)
    for one in list(left):
        found = waiting.get(keys[0](one) or None)
        if found:
            _join(left, right, one, found.pop(0), pairs)


def _join(left: dict[Element, None], right: dict[Element, None], one: Element, two: Element, pairs: Pairs) -> None:
    del left[one], right[two]
    pairs.same[one] = two


def _id_and_name(element: Element) -> object:
    name = name_of(element)
    return (element.id, name) if element.id is not None and name else None


def _id_and_content(element: Element) -> object:
    return (element.id, _attributes(element)) if element.id is not None else None


def _name(element: Element, side: Side) -> object:
    """Return the name as a key; fields with an outline are not told by their name alone."""
    return name_of(element) if element.id is not None and element not in side.outlines else None


def _content(element: Element) -> object:
    return (_attributes(element), _shape(element))


def _tag(element: Element) -> object:
    return element.tag


def _own_key(element: Element) -> object:
    names = OWN_KEYS.get(element.tag)
    return None if names is None else tuple(element.attributes.get(letter(element.tag, name)) for name in names)


def own_name(element: Element) -> str:
    """Return what tells an element without identifier from its siblings: a code, a number, a file; empty if nothing."""
    return " ".join(element.get(name) or "" for name in OWN_KEYS.get(element.tag, ()))


def _attributes(element: Element) -> object:
    fact = elements().get(element.tag)
    own = fact.id_letter if fact else None
    return tuple(sorted((name, text) for name, text in element.attributes.items() if name != own))


def _shape(element: Element) -> object:
    """Return a key of the points that stand in an element and below, so that equal shapes pair first."""
    return tuple(item.coordinates().tobytes() for item in _with_points(element))


def _with_points(element: Element) -> Iterable[Element]:
    return (item for item in element.walk() if item.tag == "LSG")
