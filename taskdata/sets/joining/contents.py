"""What an element says, numbers and names of files apart: equal digests, equal content."""

from __future__ import annotations

import hashlib

from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element, OtherNode
from taskdata.isoxml.tree.filenames import BINARY
from taskdata.sets.joining.point_columns import is_plain_point, point_columns
from taskdata.sets.joining.sources import MISSING, RankedSource
from taskdata.sets.joining.things import MergedEntities


class Contents:
    """Digests of elements with all that stands in them.

    A reference counts by the thing it points to, a binary file by its bytes, a time log also by its header. Comments
    and the order of unlike things do not count.
    """

    def __init__(self, sources: list[RankedSource], things: MergedEntities) -> None:
        self.sources = sources
        self.things = things
        self._known: dict[Element, bytes] = {}

    def digest(self, index: int, element: Element) -> bytes:
        """Return the digest of an element of a source."""
        if element not in self._known:
            self._known[element] = self._digest(index, element)
        return self._known[element]

    def text(self, index: int, element: Element, name: str) -> str:
        """Return what an attribute means, comparable between sources; empty where it is absent."""
        text = element.attributes.get(name, "")
        fact = elements().get(element.tag)
        known = fact.attributes.get(name) if fact is not None else None
        if not text or known is None:
            return text
        if known.refers_to:
            return self.things.token(index, text)
        if element.tag in BINARY and known.name == "Filename":
            return self.file(index, element)
        return text

    def file(self, index: int, element: Element) -> str:
        """Return what stands in the binary file that an element names."""
        name = element.attributes[letter(element.tag, "Filename")]
        told = self.sources[index].digest(f"{name}.BIN")
        if element.tag == "TLG":
            told += self.header(index, name).hex()
        return f"{name} {told}" if MISSING in told else told

    def header(self, index: int, name: str) -> bytes:
        """Return the digest of the header of a time log, empty without one."""
        header = self.sources[index].document.header(name)
        return b"" if header is None else self.digest(index, header.root)

    def _digest(self, index: int, element: Element) -> bytes:
        fact = elements().get(element.tag)
        own = fact.id_letter if fact is not None else None
        digest = hashlib.blake2b(element.tag.encode(), digest_size=16)
        for name in sorted(element.attributes):
            if name != own:
                digest.update(f"\0{name}={self.text(index, element, name)}".encode())
        for name, texts in sorted(point_columns(element).items()):
            digest.update(f"\1{name}={'|'.join(texts)}".encode())
        for child in element.children:
            if isinstance(child, OtherNode) and child.kind == "text":
                digest.update(f"\2{child.text}".encode())
        for item in sorted(element.elements(), key=lambda item: item.tag):
            if not is_plain_point(item):
                digest.update(self.digest(index, item))
        return digest.digest()
