"""Whether two things of one name contradict each other, so that they are two."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from taskdata.isoxml.facts import AttributeFact, elements
from taskdata.isoxml.tree.element import Element
from taskdata.sets.joining.contents import Contents

Member = tuple[int, Element]
"""Index of a source, and an element of it."""

_TELLING = {"xs:IDREF", "xs:NMTOKEN", "xs:hexBinary"}
_TOWN, _STREET = ("PostalCode", "City"), ("Street", "POBox")
_Texts = tuple[str, ...]


class Agreement:
    """Compares things of one name."""

    def __init__(self, contents: Contents) -> None:
        self.contents = contents
        self._known: dict[Element, tuple[_Texts, _Texts, _Texts, tuple[bytes, ...]]] = {}

    def agree(self, one: Member, two: Member) -> bool:
        """Tell whether two things contradict each other in no reference, choice or code, and not in what is mixed.

        People and farms contradict each other where they live in other towns and streets; one of both alone may be a
        slip of the pen.
        """
        told, town, street, mixed = self._marks(one)
        other_told, other_town, other_street, other_mixed = self._marks(two)
        if contradict(told, other_told) or (mixed and other_mixed and mixed != other_mixed):
            return False
        return not (contradict(town, other_town) and contradict(street, other_street))

    def _marks(self, member: Member) -> tuple[_Texts, _Texts, _Texts, tuple[bytes, ...]]:
        index, item = member
        if item not in self._known:
            facts = list(_attributes(item.tag))
            told = (self.contents.text(index, item, fact.letter) for fact in facts if fact.type in _TELLING)
            mixed = (self.contents.digest(index, part) for part in item.elements("PRN"))
            town, street = (tuple(_ending(item, facts, endings)) for endings in (_TOWN, _STREET))
            self._known[item] = tuple(told), town, street, tuple(mixed)
        return self._known[item]


def contradict(one: Iterable[str], two: Iterable[str]) -> bool:
    """Tell whether two lists of texts differ where both say something."""
    return any(left and right and left != right for left, right in zip(one, two, strict=True))


def _ending(item: Element, facts: Iterable[AttributeFact], endings: tuple[str, ...]) -> Iterator[str]:
    return (item.attributes.get(fact.letter, "") for fact in facts if fact.name.endswith(endings))


def _attributes(tag: str) -> Iterable[AttributeFact]:
    fact = elements().get(tag)
    return () if fact is None else fact.attributes.values()
