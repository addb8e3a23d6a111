"""A document while steps adapt it: the ledger, and the few tools that all steps share."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import tzinfo
from functools import cache
from typing import TypeAlias

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.to_document.references import mend_references
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import Loss, LossKind
from taskdata.phrases import phrase

_WORDS = re.compile("[A-Z]+(?![a-z])|[A-Z]?[^A-Z]+")


@dataclass(eq=False)
class Adaptation:
    """One run over a document, which is changed in place.

    Parameters
    ----------
    document : Document
        A copy that belongs to this run.
    target : int
        Major version that it becomes, or has.
    zone : tzinfo or None
        Time zone of the set, where the user named it.
    reason : str
        Why most things change; blank = the version has nothing of the kind.
    plan_templates : bool
        Whether the user wants templates of tasks as planned tasks where the version has no templates.
    """

    document: Document
    target: int
    zone: tzinfo | None = None
    reason: str = ""
    plan_templates: bool = False

    def __post_init__(self) -> None:
        self.source = (self.document.version or (self.target, 0))[0]
        self._change = DocumentChange(self.document, by_key=False)
        self._change.major = self._change.facts_of = self.target
        self.reason = self.reason or phrase("version {target} has no equivalent", target=self.target)

    @property
    def losses(self) -> list[Loss]:
        """The ledger so far, equal lines told once with their number."""
        tally = Counter(self._change.losses)
        return [
            loss if count == 1 else replace(loss, what=phrase("{what} ({count} times)", what=loss.what, count=count))
            for loss, count in tally.items()
        ]

    @property
    def costs(self) -> bool:
        """Whether anything is in the ledger so far."""
        return bool(self._change.losses)

    def drop(self, element: Element | None, what: str, why: str | None = None) -> None:
        """Enter into the ledger that something of ``element`` is left out."""
        self._tell(LossKind.DROPPED, element, what, why)

    def alter(self, element: Element | None, what: str, why: str | None = None) -> None:
        """Enter into the ledger that something of ``element`` changes."""
        self._tell(LossKind.CHANGED, element, what, why)

    def approximate(self, element: Element | None, what: str, why: str | None = None) -> None:
        """Enter into the ledger that something of ``element`` comes near enough."""
        self._tell(LossKind.APPROXIMATED, element, what, why)

    def tagged(self, *tags: str) -> list[Element]:
        """Return the elements of these tags in main and external files as they are now, in document order."""
        return [element for element in self.document.walk() if element.tag in tags]

    def described(self) -> Iterator[Element]:
        """Yield every element of main and external files and of the headers of time logs."""
        for file in self.document.xml_files:
            if file.role != "linklist":
                yield from file.root.walk()

    def remove(self, element: Element) -> None:
        """Take an element out of its parent."""
        self._change.remove(element)

    def drop_attribute(self, element: Element, name: str, why: str | None = None) -> str | None:
        """Take an attribute out and say so; return what stood there, None where nothing did."""
        text = element.attributes.pop(letter(element.tag, name), None)
        if text is not None:
            self.drop(element, stated(element, letter(element.tag, name), text), why)
        return text

    def identify(self, element: Element) -> None:
        """Give a new element the next free identifier of its kind."""
        self._change.identify(element, None)

    def free_id(self, tag: str) -> str:
        """Return the next free identifier of a kind of element."""
        blank = Element(tag)
        self._change.identify(blank, None)
        return blank.id or ""

    def mend_references(self) -> None:
        """Drop references to what was taken out, and say so."""
        mend_references(self._change)

    def _tell(self, kind: LossKind, element: Element | None, what: str, why: str | None) -> None:
        owner = None if element is None else element.nearest_id()
        self._change.lose(kind, owner, what, why or self.reason)


Step: TypeAlias = Callable[[Adaptation], None]


def label(element: Element) -> str:
    """Return the kind of an element and its designator, where it has one, for the ledger."""
    name_of_kind, letters = _kind(element.tag)
    name = next((element.attributes[key] for key in letters if element.attributes.get(key)), None)
    kind = phrase(name_of_kind)
    return kind if name is None else phrase("{kind} {name!r}", kind=kind, name=name)


@cache
def _kind(tag: str) -> tuple[str, tuple[str, ...]]:
    """Return what a kind of element is called, and the letters of the attributes that hold its designator."""
    fact = elements()[tag]
    names = (item.letter for item in fact.attributes.values() if item.name.endswith(("Designator", "LastName")))
    return spaced(fact.name), tuple(names)


def replace_child(parent: Element, old: Element, new: list[Element]) -> None:
    """Put elements in the place of a child."""
    at = parent.children.index(old)
    for element in new:
        element.parent = parent
    parent.children[at : at + 1] = new


def stated(element: Element, key: str, text: str) -> str:
    """Return what an attribute states in words, such as ``density mass per volume 960000 mg/l``.

    Attributes that the standard does not know go by their key.
    """
    fact = elements().get(element.tag)
    item = None if fact is None else fact.attributes.get(key)
    if item is None:
        return f"{key} {text}"
    if item.name.endswith("Id"):
        return phrase("identifier {name}", name=text)
    kind = phrase(spaced(item.name.removesuffix("IdRef")))
    names = (value.name for value in item.values if str(value.low) == text and item.type == "xs:NMTOKEN")
    meaning = next((phrase("({meaning})", meaning=phrase(spaced(name))) for name in names), item.unit)
    if not meaning:
        return phrase("{kind} {name}", kind=kind, name=text)
    return phrase("{kind} {value} {meaning}", kind=kind, value=text, meaning=meaning)


def spaced(name: str) -> str:
    """Return a name of the standard in words, such as ``buffer zone`` for ``BufferZone``."""
    return " ".join(word if len(word) > 1 and word.isupper() else word.lower() for word in _WORDS.findall(name))
