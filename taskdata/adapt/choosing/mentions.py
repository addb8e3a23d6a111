"""What a chosen part says of what stays behind, in texts whose meaning the standard does not know, or knows as free.

Proprietary attributes and elements go along with the thing that they stand in, since they belong to it, unless their
text has an identifier, a name or a file of what stays behind in it: then they stay behind too, as nobody can tell what
they would lead to. The same holds for comments in XML. Those of the roots of files speak of the whole set, and always
stay behind. Free text of the standard, such as designators, stays as it is.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from taskdata.adapt.choosing.picking import listed
from taskdata.amounts import counted
from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, Node, OtherNode, PointRun

_WORD = re.compile(r"[^\W_]+(?:-[0-9]+)?")
_SEPARATORS = re.compile(r"[\s,;|\"'<>()\[\]/\\]+")
_PEOPLE = {"CTR": "CustomerLastName", "FRM": "FarmDesignator", "WKR": "WorkerLastName"}
_FIELDS = {"PFD": "PartfieldDesignator"}
_LETTERS = re.compile(r"\w+")
_FREE = {"xs:string", "xs:anyURI"}
_OF_XML = ("xmlns", "xml:", "xsi:")
_LEAST_LETTERS = 3
"""A name of fewer letters is part of too many words to tell anything."""


@dataclass(frozen=True, slots=True)
class StayedBehind:
    """What of a set is not in its part: identifiers, names of people and farms, names of fields, files in capitals."""

    ids: frozenset[str]
    people: _Names
    fields: _Names
    files: frozenset[str]

    @classmethod
    def of(cls, whole: Document, part: Document) -> StayedBehind:
        """Return what of a whole is not in a part of it."""
        people, fields = (_Names(set(_names(whole, kinds)) - set(_names(part, kinds))) for kinds in (_PEOPLE, _FIELDS))
        ids = frozenset(set(whole.by_id) - set(part.by_id))
        return cls(ids, people, fields, frozenset(_files(whole) - _files(part)))

    def is_in(self, text: str) -> bool:
        """Tell whether a text speaks of any of it."""
        known = any(word.upper() in self.ids for word in _WORD.findall(text))
        named = known or self.fields.are_in(text) or self.people.are_in(text)
        return named or any(word in self.files for word in words(text))


class _Names:
    """Names that are looked for in texts, word by word, in any case; found by their first words.

    Parameters
    ----------
    names : iterable of str
        As they are written.
    """

    def __init__(self, names: Iterable[str]) -> None:
        self._by_first: dict[str, list[list[str]]] = {}
        for name in names:
            if parts := _LETTERS.findall(name.casefold()):
                self._by_first.setdefault(parts[0], []).append(parts)

    def are_in(self, text: str) -> bool:
        """Tell whether a text has one of the names in it."""
        parts = _LETTERS.findall(text.casefold()) if self._by_first else []
        return any(
            parts[at : at + len(name)] == name for at, part in enumerate(parts) for name in self._by_first.get(part, ())
        )


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
                if element is not file.root and not behind.is_in(element.attributes[name]):
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
            speaks = behind.is_in(child.text)
        else:
            speaks = child.tag not in elements() and any(behind.is_in(text) for text in own_texts(child))
        if not speaks:
            yield child
            continue
        what = child.tag if isinstance(child, Element) else f"a {getattr(child, 'kind', 'text')}"
        left.append(f"{what} in {element.nearest_id() or element.tag}")


def _told(left: list[str], along: int, free: list[str]) -> Iterator[str]:
    if left:
        told = listed(f"{what} ({count} times)" if count > 1 else what for what, count in Counter(left).items())
        yield f"Proprietary content of the whole set, or that speaks of what stays behind, stays behind too: {told}."
    if along:
        told = counted(along, "proprietary attribute or element", "proprietary attributes and elements")
        yield f"The meaning of {told} is not known; they go along with what they stand in."
    if free:
        yield f"Free text names people or farms that stay behind; read it before you hand the set on: {listed(free)}."


def _free_texts(element: Element, behind: StayedBehind) -> Iterator[str]:
    fact = elements()[element.tag]
    for name, text in element.attributes.items():
        known = fact.attributes.get(name)
        if known is not None and known.type in _FREE and behind.people.are_in(text):
            yield f"{known.name} of {element.nearest_id() or element.tag}"


def _is_unknown(known: Iterable[str], name: str) -> bool:
    return name not in known and not name.startswith(_OF_XML)


def _names(document: Document, kinds: Mapping[str, str]) -> Iterator[str]:
    for tag, attribute in kinds.items():
        texts = ((element.get(attribute) or "").strip() for element in document.by_tag.get(tag, ()))
        yield from (text for text in texts if len(text) >= _LEAST_LETTERS)


def _files(document: Document) -> set[str]:
    return {file.name.upper() for file in document.xml_files} | set(document.others)
