"""Where each element stands, counted once for all siblings.

``Element.path`` looks through the siblings of every step; asked for each of thousands of fields under one root that
grows with the square of their number. Here siblings are counted once, and only those of elements asked for.
"""

from __future__ import annotations

from taskdata.findings import Place
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import POINT, Element, PointRun


class Places:
    """The places of the elements of a document; where it changes meanwhile, that has to be told (`forget_below`)."""

    def __init__(self) -> None:
        self._positions: dict[Element, int] = {}
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

    def forget_below(self, element: Element) -> None:
        """Forget the places of what stands below an element, after something came or went there."""
        for item in element.walk():
            if item is not element:
                for known in (self._positions, self._paths, self._owners):
                    known.pop(item, None)

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
            parent = element.parent
            if parent is None:
                self._paths[element] = f"/{element.tag}"
            else:
                self._paths[element] = f"{self._path(parent)}/{element.tag}[{self._position(element, parent)}]"
        return self._paths[element]

    def _position(self, element: Element, parent: Element) -> int:
        """Position of an element among its siblings of the same tag, from 1; all siblings are counted at once."""
        if element not in self._positions:
            counts: dict[str, int] = {}
            for child in parent.children:
                if isinstance(child, Element):
                    self._positions[child] = counts[child.tag] = counts.get(child.tag, 0) + 1
                elif isinstance(child, PointRun):
                    counts[POINT] = counts.get(POINT, 0) + len(child)
        return self._positions[element]
