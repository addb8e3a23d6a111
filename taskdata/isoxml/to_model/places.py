"""Where each element stands, for all of them in one pass.

``Element.path`` looks through the siblings of every step; asked for each of thousands of fields under one root that
grows with the square of their number. Here positions are counted once.
"""

from __future__ import annotations

from functools import cached_property

from taskdata.findings import Place
from taskdata.isoxml.document import Document
from taskdata.isoxml.element import POINT, Element, PointRun
from taskdata.isoxml.facts import elements


class Places:
    """The places of all elements of a document; it must not change while this is in use."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._paths: dict[Element, str] = {}
        self._owners: dict[Element, str | None] = {}
        self._id_letters: dict[str, str | None] = {tag: fact.id_letter for tag, fact in elements().items()}

    def of(self, element: Element) -> Place:
        """Return what ``element.place()`` returns."""
        return Place(
            file=element.file or None,
            line=element.line or None,
            element=self.owner(element),
            path=self._path(element),
        )

    def owner(self, element: Element) -> str | None:
        """Return the identifier of the nearest identified element at or above."""
        if element not in self._owners:
            letter = self._id_letters.get(element.tag)
            own = (element.attributes.get(letter) or None) if letter else None
            if own is None and element.parent is not None:
                own = self.owner(element.parent)
            self._owners[element] = own
        return self._owners[element]

    def _path(self, element: Element) -> str:
        if element not in self._paths:
            if element.parent is None:
                self._paths[element] = f"/{element.tag}"
            else:
                self._paths[element] = f"{self._path(element.parent)}/{element.tag}[{self._positions[element]}]"
        return self._paths[element]

    @cached_property
    def _positions(self) -> dict[Element, int]:
        """Position of each element among its siblings of the same tag, counted from 1."""
        found: dict[Element, int] = {}
        for file in self._document.xml_files:
            for parent in file.root.walk():
                counts: dict[str, int] = {}
                for child in parent.children:
                    if isinstance(child, Element):
                        found[child] = counts[child.tag] = counts.get(child.tag, 0) + 1
                    elif isinstance(child, PointRun):
                        counts[POINT] = counts.get(POINT, 0) + len(child)
        return found
