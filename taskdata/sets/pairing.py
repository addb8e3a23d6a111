"""Which element of one set is which of another.

Equal things are recognised by an identifying link, else by identifier and name, else by identifier and content, else by
name, else by content, else by the ground they lie on, and last by identifier alone. Fields that lie apart are not the
same for their name or their identifier alone, unless they share both. What has no identifier is told apart inside its
parent: zones by code, objects of a device by number, files by name or else by their bytes, the rest by what it says,
then by where it lies, and then by its order.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import field
from typing import Any

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.sets import keys
from taskdata.sets.alike_outlines import join_alike
from taskdata.sets.nearness import nearest_pairs
from taskdata.sets.side import Side, name_of
from taskdata.sets.wording import is_hole

_LAST = {"TSK", "TCC"}
"""What is paired last: tasks refer to all the others."""

_LAID = {"PLN", "LSG", POINT}
_Key = Callable[[Element], Iterable[Hashable]]
_Fits = Callable[[Element, Element], bool]


@dataclass
class Pairs:
    """What belongs together.

    Parameters
    ----------
    same : dict of Element to Element
        From the first set to the second.
    only_first, only_second : list of Element
        What has no counterpart, though its parent has; what stands below is not listed.
    ids : dict of str to str
        Identifiers of the first set to those of the second.
    renumbered : bool
        Whether one of them differs.
    found : set of str
        The identifiers of the second set that have a counterpart.
    """

    same: dict[Element, Element] = field(default_factory=dict)
    only_first: list[Element] = field(default_factory=list)
    only_second: list[Element] = field(default_factory=list)
    ids: dict[str, str] = field(default_factory=dict)
    renumbered: bool = False
    found: set[str] = field(default_factory=set)

    def meant_in_first(self, text: str) -> tuple[bool, str]:
        """Return what a reference in the first set means: a thing that both have, or only a number."""
        return (True, self.ids[text]) if text in self.ids else (False, text)

    def meant_in_second(self, text: str) -> tuple[bool, str]:
        """Return what a reference in the second set means, in the same words."""
        return text in self.found, text


def pair(first: Side, second: Side) -> Pairs:
    """Pair the elements of two sets, one of which goes back to the other, as what came back to what was sent.

    Things with the same identifier and nothing else in common are paired last; for sets of different origin, where
    that means nothing, see ``taskdata.sets.joining``.
    """
    matcher = _Matcher(first, second)
    tags = dict.fromkeys(
        item.tag for side in (first, second) for file in side.document.task_files for item in file.root.elements()
    )
    for tag in sorted(tags, key=lambda tag: tag in _LAST):
        if tag != "XFR":
            matcher.match(first.document.top(tag), second.document.top(tag))
    return matcher.pairs


class _Matcher:
    """The steps of pairing, from the surest to the least sure."""

    def __init__(self, first: Side, second: Side) -> None:
        self.first = first
        self.second = second
        self.pairs = Pairs()

    def match(self, ones: list[Element], twos: list[Element]) -> None:
        """Pair two lists of elements of one tag, and what stands in them."""
        left, right = dict.fromkeys(ones), dict.fromkeys(twos)
        if len(ones) == len(twos) == 1 and _plainly_one(ones[0], twos[0]):
            self._join(left, right, ones[0], twos[0])
        for here, there, fits in self._steps():
            if not left or not right:
                break
            self._by_key(left, right, here, there, fits)
        tag = next((item.tag for item in ones), None)
        if left and right:
            if tag == "PFD":
                self._by_ground(left, right)
            self._by_key(left, right, _id, _id, self._not_apart)
            if tag in _LAID:
                self._by_place(left, right)
            elif tag is not None and not _has_ids(tag) and tag not in keys.OWN_KEYS:
                self._by_key(left, right, _tag, _tag)
        self.pairs.only_first += left
        self.pairs.only_second += right
        for one in ones:
            if one in self.pairs.same:
                self._children(one, self.pairs.same[one])

    def _steps(self) -> Iterator[tuple[_Key, _Key, _Fits | None]]:
        """Yield step by step the keys of an element in the first and in the second set, and a condition."""
        here, there = self.pairs.meant_in_first, self.pairs.meant_in_second
        yield self.first.link, self.second.link, None
        yield _one(keys.id_and_name, here), _one(keys.id_and_name, there), self._not_apart
        yield _one(keys.own_key, here), _one(keys.own_key, there), None
        yield _one(keys.id_and_content, here), _one(keys.id_and_content, there), self._not_apart
        yield _one(_name, self.first), _one(_name, self.second), None
        yield _one(keys.content, here), _one(keys.content, there), None
        yield _one(keys.weak_key, here), _one(keys.weak_key, there), None
        yield self.first.digests, self.second.digests, None

    def _children(self, one: Element, two: Element) -> None:
        for tag in dict.fromkeys(child.tag for child in (*one.elements(), *two.elements())):
            left, right = list(one.elements(tag)), list(two.elements(tag))
            if tag == POINT and one.tag == "LSG":  # the points of a line are one thing, unless they name a file
                left, right = ([item for item in side if item.get("Filename")] for side in (left, right))
            self.match(left, right)

    def _not_apart(self, one: Element, two: Element) -> bool:
        """Tell whether two things may be one; fields that lie in other places are not."""
        here, there = self.first.extents.get(one), self.second.extents.get(two)
        return here is None or there is None or bool((here[0] <= there[1]).all() and (there[0] <= here[1]).all())

    def _by_key(
        self, left: dict[Element, None], right: dict[Element, None], here: _Key, there: _Key, fits: _Fits | None = None
    ) -> None:
        """Pair what has a key in common; of several with one key, in their order."""
        waiting: dict[Hashable, dict[Element, None]] = {}
        for two in right:
            for key in there(two):
                waiting.setdefault(key, {})[two] = None
        for one in list(left) if waiting else ():
            near = (two for key in here(one) for two in waiting.get(key, ()))
            found = next((two for two in near if two in right and (fits is None or fits(one, two))), None)
            if found is not None:
                self._join(left, right, one, found)
                for key in there(found):
                    waiting[key].pop(found, None)

    def _by_ground(self, left: dict[Element, None], right: dict[Element, None]) -> None:
        """Pair fields that lie on the same ground, those that lie most alike first."""
        mine = [item for item in left if item in self.first.outlines]
        yours = [item for item in right if item in self.second.outlines]
        if not mine or not yours:
            return
        items, count = [*mine, *yours], len(mine)
        outlines = [self.first.outlines[item] for item in mine] + [self.second.outlines[item] for item in yours]

        def join(one: int, two: int) -> bool:
            if items[one] not in left or items[two] not in right:
                return False
            self._join(left, right, items[one], items[two])
            return True

        join_alike(outlines, [name_of(item) for item in items], lambda at: 1 if at < count else 2, join)

    def _by_place(self, left: dict[Element, None], right: dict[Element, None]) -> None:
        for one, two in nearest_pairs(list(left), list(right)):
            self._join(left, right, one, two)

    def _join(self, left: dict[Element, None], right: dict[Element, None], one: Element, two: Element) -> None:
        del left[one], right[two]
        self.pairs.same[one] = two
        if one.id is not None and two.id is not None:
            self.pairs.ids[one.id] = two.id
            self.pairs.found.add(two.id)
            self.pairs.renumbered |= one.id != two.id


def _plainly_one(one: Element, two: Element) -> bool:
    """Tell whether the only polygons or lines of a thing are one anyway, wherever they lie."""
    laid = one.tag in {"PLN", "LSG"} and one.id == two.id
    return laid and one.attributes.get("A") == two.attributes.get("A") and not is_hole(one)


def _one(key: Callable[[Element, Any], Hashable], with_what: Any) -> _Key:
    """Return a function that gives the key in a list, or nothing where there is none."""
    return lambda item: () if (found := key(item, with_what)) is None else (found,)


def _name(element: Element, side: Side) -> Hashable:
    """Return the name as a key; fields with an outline are not told by their name alone."""
    named = element.tag in _LAID or (element.id is not None and element not in side.outlines)
    return name_of(element) or None if named else None


def _id(element: Element) -> Iterable[Hashable]:
    return () if element.id is None else (element.id,)


def _tag(element: Element) -> Iterable[Hashable]:
    return (element.tag,)


def _has_ids(tag: str) -> bool:
    fact = elements().get(tag)
    return fact is not None and fact.id_letter is not None
