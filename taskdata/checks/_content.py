"""What an element says apart from its identifier: the same for two that say the same."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping

from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import POINT, Element, PointRun

NAMES = ("Designator", "LastName", "FirstName")
NONE: Mapping[str, str] = {}


def content(element: Element, *, named: bool = False, same: Mapping[str, str] = NONE) -> tuple[Hashable, ...]:
    """Return what an element says but for identifiers: equal for two of one content.

    Parameters
    ----------
    element : Element
        With all that stands in it.
    named : bool
        Whether names count.
    same : mapping of str to str
        Identifiers that stand for others.
    """
    return element.tag, _texts(element, named, same), tuple(_contents(element, named, same))


def doubled(
    found: Iterable[Element], *, named: bool, same: Mapping[str, str] = NONE
) -> Iterator[tuple[Element, Element]]:
    """Yield each element that says the same as an earlier one, after that one."""
    several = list(found)
    rough: dict[Hashable, list[Element]] = {}
    for element in several if len(several) > 1 else ():
        rough.setdefault(_roughly(element, named, same), []).append(element)
    for group in rough.values():
        first: dict[Hashable, Element] = {}
        for element in group if len(group) > 1 else ():
            other = first.setdefault(content(element, named=named, same=same), element)
            if other is not element:
                yield other, element


def _texts(element: Element, named: bool, same: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    facts = elements().get(element.tag)
    kept = []
    for letter, text in sorted(element.attributes.items()):
        fact = facts.attributes.get(letter) if facts is not None else None
        is_name = fact is not None and fact.name.endswith(NAMES)
        if (named or not is_name) and not (facts is not None and letter == facts.id_letter):
            kept.append((letter, same.get(text, text) if fact is not None and fact.refers_to else text))
    return tuple(kept)


def _contents(element: Element, named: bool, same: Mapping[str, str]) -> Iterator[Hashable]:
    for child in element.children:
        if isinstance(child, PointRun):
            for row in child.rows():
                yield POINT, tuple(sorted(row.items())), ()
        elif isinstance(child, Element):
            yield content(child, named=named, same=same)


def _roughly(element: Element, named: bool, same: Mapping[str, str]) -> Hashable:
    """Return something that is equal for equal contents and cheap: of runs of points only their length."""
    inside = tuple(
        len(child) if isinstance(child, PointRun) else _roughly(child, named, same)
        for child in element.children
        if isinstance(child, (PointRun, Element))
    )
    return element.tag, _texts(element, named, same), inside
