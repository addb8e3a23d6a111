"""What a chosen part says of what stays behind, in texts whose meaning the standard does not know, or knows as free.

Proprietary attributes and elements go along with the thing that they stand in, since they belong to it, unless their
text has an identifier, a name or a file of what stays behind in it: then they stay behind too, as nobody can tell what
they would lead to. The same holds for comments in XML. Free text of the standard, such as designators, stays as it is.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from taskdata.adapt.choosing.picking import listed
from taskdata.amounts import counted
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, Node, OtherNode, PointRun

_WORD = re.compile(r"[^\W_]+(?:-[0-9]+)?")
_SEPARATORS = re.compile(r"[\s,;|\"'<>()\[\]/\\]+")
_PEOPLE = {"CTR": ("CustomerLastName",), "FRM": ("FarmDesignator",), "WKR": ("WorkerLastName",)}
_OF_XML = ("xmlns", "xml:", "xsi:")
_LEAST_LETTERS = 3
"""A name of fewer letters is part of too many words to tell anything."""


@dataclass(frozen=True, slots=True)
class StayedBehind:
    """What of a set is not in its part: identifiers, the names of people and farms, and files, in capitals."""

    ids: frozenset[str]
    names: frozenset[str]
    files: frozenset[str]

    @classmethod
    def of(cls, whole: Document, part: Document) -> StayedBehind:
        """Return what of a whole is not in a part of it."""
        here = set(part.by_id)
        names = set(_names(whole)) - set(_names(part))
        return cls(frozenset(set(whole.by_id) - here), frozenset(names), frozenset(_files(whole) - _files(part)))

    def named_in(self, text: str) -> str | None:
        """Return what of it a text has in it, None for nothing."""
        found = next((word for word in _WORD.findall(text) if word.upper() in self.ids), None)
        return found or self.people_in(text) or next((word for word in words(text) if word in self.files), None)

    def people_in(self, text: str) -> str | None:
        """Return whose name, of people and farms, a text has in it, None for nobody's."""
        folded = text.casefold()
        return next((name for name in self.names if name.casefold() in folded), None)


def words(text: str) -> Iterator[str]:
    """Yield the words of a text as names of files are written, in capitals."""
    yield from (word.upper() for word in _SEPARATORS.split(text) if word)


def own_texts(element: Element) -> Iterator[str]:
    """Yield every text of an element and what stands in it: values of attributes, and text between elements."""
    for item in element.walk():
        yield from item.attributes.values()
        yield from (child.text for child in item.children if isinstance(child, OtherNode))


def leave_mentions(part: Document, behind: StayedBehind) -> list[str]:
    """Take out of a part what is proprietary and speaks of what stays behind; return what is to be told."""
    left: list[str] = []
    along = 0
    free: list[str] = []
    for file in part.xml_files:
        for element in list(file.root.walk()):
            fact = elements().get(element.tag)
            if fact is None:
                along += 1
                continue
            free += _free_texts(element, behind)
            for name in [item for item in element.attributes if _is_unknown(fact.attributes.keys(), item)]:
                if behind.named_in(element.attributes[name]) is None:
                    along += 1
                else:
                    del element.attributes[name]
                    left.append(f"{name} of {element.nearest_id() or element.tag}")
            element.children = list(_without(element, behind, left))
    part.touch()
    return list(_told(left, along, free))


def _without(element: Element, behind: StayedBehind, left: list[str]) -> Iterator[Node]:
    """Yield the children of an element but for unknown elements and comments that speak of what stays behind."""
    for child in element.children:
        if isinstance(child, PointRun):
            speaks = False
        elif isinstance(child, OtherNode):
            speaks = behind.named_in(child.text) is not None
        else:
            speaks = child.tag not in elements() and any(behind.named_in(text) for text in own_texts(child))
        if not speaks:
            yield child
            continue
        what = child.tag if isinstance(child, Element) else f"a {getattr(child, 'kind', 'text')}"
        left.append(f"{what} in {element.nearest_id() or element.tag}")


def _told(left: list[str], along: int, free: list[str]) -> Iterator[str]:
    if left:
        told = listed(f"{what} ({count} times)" if count > 1 else what for what, count in Counter(left).items())
        yield f"Proprietary content that speaks of what stays behind stays behind too: {told}."
    if along:
        told = counted(along, "proprietary attribute or element", "proprietary attributes and elements")
        yield f"The meaning of {told} is not known; they go along with what they stand in."
    if free:
        yield f"Free text names people or farms that stay behind; read it before you hand the set on: {listed(free)}."


def _free_texts(element: Element, behind: StayedBehind) -> Iterator[str]:
    fact = elements()[element.tag]
    for name, text in element.attributes.items():
        known = fact.attributes.get(name)
        if known is not None and known.type == "xs:string" and behind.people_in(text) is not None:
            yield f"{known.name} of {element.nearest_id() or element.tag}"


def _is_unknown(known: Iterable[str], name: str) -> bool:
    return name not in known and not name.startswith(_OF_XML)


def _names(document: Document) -> Iterator[str]:
    for tag, attributes in _PEOPLE.items():
        for element in document.by_tag.get(tag, ()):
            texts = (element.get(name) or "" for name in attributes)
            yield from (text.strip() for text in texts if len(text.strip()) >= _LEAST_LETTERS)


def _files(document: Document) -> set[str]:
    return {file.name.upper() for file in document.xml_files} | set(document.others)
