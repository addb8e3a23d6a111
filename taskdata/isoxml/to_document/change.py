"""One change of a document: the tools that all families of records share."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Protocol, TypeVar

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import AttributeFact, elements, letter
from taskdata.isoxml.to_document.fitting import Attribute, is_known, takes, text_of
from taskdata.isoxml.to_document.same_points import same
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.next_number import next_number
from taskdata.ledger import Loss, LossKind, refusal
from taskdata.phrases import phrase
from taskdata.versions import default_version, facts_version

_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Keyed(Protocol):
    """A record that may stem from an element."""

    @property
    def key(self) -> int | None:
        """Number of the element, None for a new record."""


R = TypeVar("R", bound=Keyed)


@dataclass(frozen=True, slots=True)
class Referring:
    """A reference that was written: where, what a person typed, and whose it is."""

    element: Element
    fact: AttributeFact
    column: str
    owner: object
    text: str


class DocumentChange:
    """A document while records are laid over it, or steps change it.

    Parameters
    ----------
    document : Document
        Changed in place.
    by_key : bool
        Whether elements are asked for by the keys of records, as they are now.

    Attributes
    ----------
    document : Document
        Changed in place.
    losses : list of Loss
        What could not be laid over it as it is.
    referring : list of Referring
        The references that were written, to be resolved once everything stands (see ``references``).
    rounded : bool
        Whether a coordinate was written with fewer digits than it had.
    major, facts_of : int
        Major version of the document, and the version whose facts hold for it (drafts count as version 2).
    """

    def __init__(self, document: Document, *, by_key: bool = True) -> None:
        self.document = document
        self.losses: list[Loss] = []
        self.referring: list[Referring] = []
        self.rounded = False
        self.major = (document.version or (default_version(),))[0]
        self.facts_of = facts_version(self.major)
        self._elements = {key: element for element, key in document.keys.items()} if by_key else {}
        self._ids = set(document.by_id)
        self._next: dict[str, int] = {}

    def element(self, key: int | None) -> Element:
        """Return the element that a record stems from."""
        if key is None:
            raise KeyError(key)
        return self._elements[key]

    def knows(self, key: int | None) -> bool:
        """Tell whether ``key`` is that of an element of this document."""
        return key in self._elements

    def lose(self, kind: LossKind, element: str | None, what: str, why: str) -> None:
        """Enter a line into the ledger."""
        self.losses.append(Loss(kind, element, what, why))

    def refuse(self, owner: object, column: str, value: object, takes: str) -> None:
        """Enter a value into the ledger that cannot be stored; ``owner`` is the record that has it."""
        place = getattr(owner, "place", None)
        row = None if place is None or not place.file or place.record is None else (place.file, place.record)
        self.losses.append(refusal(getattr(owner, "id", None), named(owner), column, value, takes, row=row))

    def tell_unstored(self, old: object | None, new: object, names: Sequence[str], why: str) -> None:
        """Say which attributes of a record are not made or changed from the model, where they differ."""
        for name in names:
            value = getattr(new, name)
            if not same(value, getattr(old, name) if old is not None else (() if isinstance(value, tuple) else None)):
                self.lose(
                    LossKind.DROPPED,
                    getattr(new, "id", None),
                    phrase("{name} of {new}", name=name, new=named(new)),
                    why,
                )

    def lay(
        self,
        element: Element,
        attributes: Sequence[Attribute],
        old: object | None,
        new: object,
        owner: object | None = None,
    ) -> None:
        """Set those ``attributes`` of ``element`` in which record ``new`` differs from ``old``; all if that is None.

        ``owner`` is the record that a person knows, where ``new`` is a part of it.
        """
        for attribute in attributes:
            value = attribute.of(new)
            if old is None or not same(value, attribute.of(old)):
                self._put(element, attribute, value, (owner or new, attribute.value(new)))

    def _put(self, element: Element, attribute: Attribute, value: object, typed: tuple[object, object]) -> None:
        """Set an attribute; None removes it; what the version lacks is told, what no version can hold is refused."""
        name, (owner, given) = attribute.name, typed
        fact = elements()[element.tag].attributes[letter(element.tag, name)]
        if value is None or (value == "" and not fact.required):
            if fact.required:
                self.refuse(owner, attribute.column, given, f"{takes(fact, attribute.factor)}, and must not be empty")
            element.set(name, None)
            return
        if not fact.holds(self.facts_of):
            told = phrase("{name} {value}", name=name, value=value)
            self.lose(
                LossKind.DROPPED,
                element.nearest_id(),
                told,
                phrase("version {major} has no such attribute", major=self.major),
            )
            return
        text = text_of(fact, value)
        if text is None:
            self.refuse(owner, attribute.column, given, takes(fact, attribute.factor))
        elif fact.values and not is_known(fact, int(text), self.facts_of):
            other = attribute.otherwise
            told = (
                phrase("{name} {value} is left out", name=name, value=text)
                if other is None
                else phrase("{name} {value} becomes {other}", name=name, value=text, other=other)
            )
            self.lose(
                LossKind.CHANGED,
                element.nearest_id(),
                told,
                phrase("version {major} has no such value", major=self.major),
            )
            element.set(name, None if other is None else str(int(other)))
        else:
            element.set(name, self._fit(element, fact, text))
            if fact.refers_to is not None:
                self.referring.append(Referring(element, fact, attribute.column, owner, text))

    def has_value(self, tag: str, name: str, value: int) -> bool:
        """Tell whether an enumeration has ``value`` in the version of the document; True for what is no enumeration."""
        return is_known(elements()[tag].attributes[letter(tag, name)], value, self.facts_of)

    def identify(self, element: Element, wanted: str | None) -> None:
        """Give a new element the identifier ``wanted``, or the next free one."""
        fact = elements()[element.tag]
        key = fact.id_letter
        if key is None or not fact.attributes[key].holds(self.facts_of):
            return
        if not wanted or wanted in self._ids or not re.fullmatch(rf"{fact.id_prefix}-?[1-9][0-9]{{0,9}}", wanted):
            free = self._free(str(fact.id_prefix))
            if wanted:
                self.lose(
                    LossKind.CHANGED,
                    free,
                    phrase("identifier {wanted} becomes {free}", wanted=wanted, free=free),
                    phrase("it is taken or invalid"),
                )
            wanted = free
        self._ids.add(wanted)
        element.attributes = {key: wanted, **element.attributes}

    def free_file(self, prefix: str, wanted: str) -> str:
        """Return the name for a new file of the set, without its ending: the wanted one if it is free and allowed."""
        taken = {file.name.upper() for file in self.document.xml_files} | set(self.document.others)
        name = wanted.upper() if re.fullmatch(rf"{prefix}\d{{5}}", wanted.upper()) else f"{prefix}00001"
        number = 0
        while {f"{name}.XML", f"{name}.BIN"} & taken:
            number += 1
            name = f"{prefix}{number:05d}"
        return name

    def sync(
        self,
        parent: Element,
        before: Sequence[R],
        after: Sequence[R],
        update: Callable[[Element, R, R], None],
        create: Callable[[R], Element],
    ) -> None:
        """Lay ``after`` over ``before``: remove, update or create the children of ``parent`` they stand for."""
        known = {record.key: record for record in before if record.key is not None}
        kept = {record.key for record in after}
        for key in known:
            if key not in kept:
                self.document.authored = True
                self._drop(key)
        for record in after:
            old = None if record.key is None else known.get(record.key)
            if old is None:
                self.document.authored = True
                parent.append(create(record))
            elif not same(old, record):
                self.document.authored = True
                if self.knows(record.key):
                    update(self.element(record.key), old, record)
                else:
                    self._drop(record.key)

    def _drop(self, key: int | None) -> None:
        """Remove an element; what has none of its own, as a point of a binary file, stays, and that is told."""
        if self.knows(key):
            self.remove(self.element(key))
        else:
            what = phrase("a change of a point in a binary file")
            self.lose(LossKind.DROPPED, None, what, phrase("such points are not changed"))

    def remove(self, element: Element) -> None:
        """Take an element out of its parent."""
        if element.parent is not None:
            element.parent.children.remove(element)

    def _free(self, prefix: str) -> str:
        number = self._next.get(prefix)
        if number is None:
            number = next_number(self._ids, prefix)
        self._next[prefix] = number + 1
        return f"{prefix}{number}"

    def _fit(self, element: Element, fact: AttributeFact, text: str) -> str:
        """Turn a text into one that the attribute can hold, and tell what that costs."""
        fit = _FORBIDDEN.sub("", text)
        if fit != text:
            told = phrase("{name} {text!r} loses its control characters", name=fact.name, text=text)
            self.lose(LossKind.CHANGED, element.nearest_id(), told, phrase("XML cannot hold them"))
        if fact.type == "xs:string" and fact.max_length is not None and len(fit) > fact.max_length:
            told = phrase(
                "{name} {fit!r} is cut to {max_length} characters", name=fact.name, fit=fit, max_length=fact.max_length
            )
            self.lose(LossKind.CHANGED, element.nearest_id(), told, phrase("the standard allows no more"))
            fit = fit[: fact.max_length].rstrip()
        return fit


def named(record: object) -> str:
    """Return what a person calls a record: the row of the layer that it was typed into, or what it is and its name."""
    place = getattr(record, "place", None)
    if place is not None and place.file and place.record is not None:
        return f"row {place.record + 1} of {place.file}"
    kind = re.sub("(?<=[a-z])(?=[A-Z])", " ", type(record).__name__).lower()
    name = next((value for key in ("id", "name", "code") if (value := getattr(record, key, None)) is not None), "")
    return f"{kind} {name}".rstrip()
