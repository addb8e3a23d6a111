"""What belongs together in a set: what an element needs so that nothing it refers to is missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_names, is_link_list

Members = frozenset[Element]


class Belonging:
    """The things of a set, which are the elements directly under its roots, and what each needs.

    Parameters
    ----------
    document : Document
        The set; nothing else changes it while this is used.
    """

    def __init__(self, document: Document) -> None:
        document.expand_loose_points()
        self.document = document
        self._files = {item: file for file in document.task_files for item in file.root.elements()}
        self.things = list(self._files)
        self._owners = {element: thing for thing in self.things for element in thing.walk()}
        self._needs: dict[Element, Members] = {}
        self._named: dict[Element, frozenset[str]] = {}

    def owner(self, identifier: str | None) -> Element | None:
        """Return the thing that an identifier stands in, None where the set has no such identifier."""
        element = self.document.by_id.get(identifier or "")
        return None if element is None else self._owners.get(element)

    def owner_of(self, element: Element) -> Element | None:
        """Return the thing that an element stands in."""
        return self._owners.get(element)

    def is_in_main(self, thing: Element) -> bool:
        """Tell whether a thing stands in the main file."""
        return self._files[thing] is self.document.main

    def closure(self, things: Iterable[Element]) -> Members:
        """Return things with all that they need, and all that those need."""
        found: set[Element] = set()
        stack = list(things)
        while stack:
            thing = stack.pop()
            if thing not in found:
                found.add(thing)
                stack += self._needs_of(thing)
        return frozenset(found)

    def lacks(self, things: Iterable[Element]) -> bool:
        """Tell whether any of these things refers to what the set does not have."""
        return any(self.owner(target) is None for thing in things for target in self._targets(thing))

    def carriers(self) -> Members:
        """Return what only carries things, and stands where they stand: references to files, the link list."""
        needed = {item for thing in self.things for item in self._needs_of(thing)}
        return frozenset(item for item in needed if item.tag in {"XFR", "AFE"})

    def unneeded_references(self, things: Members | set[Element]) -> Members:
        """Return the references to external files (XFR) of which none of these things stands in the file."""
        needed = {item for thing in things for item in self._needs_of(thing)}
        stood_in = {item for thing in self.things for item in self._needs_of(thing)}
        return frozenset(item for item in stood_in - needed if item.tag == "XFR")

    def files_of(self, thing: Element) -> frozenset[str]:
        """Return the names, in capitals, of all files that a thing names."""
        if thing not in self._named:
            self._named[thing] = frozenset(name.upper() for element in thing.walk() for name in file_names(element))
        return self._named[thing]

    def tasks_by_field(self) -> dict[Element | None, list[Element]]:
        """Return the tasks of each field, and under None those of no field."""
        found: dict[Element | None, list[Element]] = {}
        for task in self.document.top("TSK"):
            field = self.owner(task.get("PartfieldIdRef"))
            found.setdefault(field if field is not None and field.tag == "PFD" else None, []).append(task)
        return found

    def _needs_of(self, thing: Element) -> Members:
        if thing not in self._needs:
            found = {self.owner(target) for target in self._targets(thing)}
            if not self.is_in_main(thing):
                found.add(self._references.get(self._files[thing].name.upper()))
            if self._list_entry is not None and any(item.id in self._linked for item in thing.walk() if item.id):
                found.add(self._list_entry)
            self._needs[thing] = frozenset(item for item in found if item is not None and item is not thing)
        return self._needs[thing]

    def _targets(self, thing: Element) -> Iterator[str]:
        """Yield what a thing refers to, and what the headers of its logs refer to."""
        for element in thing.walk():
            yield from (text for _, text in element.references())
            header = self.document.header(element.get("Filename") or "") if element.tag == "TLG" else None
            for inner in header.root.walk() if header is not None else ():
                yield from (text for _, text in inner.references())

    @cached_property
    def _references(self) -> dict[str, Element]:
        """Which element (XFR) names each external file."""
        found: dict[str, Element] = {}
        for element in self.document.root.elements("XFR"):
            found.setdefault(f"{element.get('Filename')}.XML".upper(), element)
        return found

    @cached_property
    def _list_entry(self) -> Element | None:
        """The element that attaches the link list."""
        return next((item for item in self.document.root.elements("AFE") if is_link_list(item)), None)

    def links(self) -> list[Element]:
        """Return the links of the link list."""
        links = self.document.link_list
        return [] if links is None else [item for item in links.root.walk() if item.tag == "LNK"]

    @cached_property
    def _linked(self) -> set[str | None]:
        """What the link list links."""
        return {item.get("ObjectIdRef") for item in self.links()}
