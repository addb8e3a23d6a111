"""The sources of a merge, in the order in which their word counts."""

from __future__ import annotations

import hashlib
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import field
from datetime import UTC, datetime
from functools import cache, cached_property

from taskdata.dataclass import dataclass
from taskdata.isoxml.facts import elements
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.tree.differences import digest
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, Node
from taskdata.isoxml.tree.filenames import file_name, file_names
from taskdata.isoxml.tree.stated_lengths import missing_bytes
from taskdata.isoxml.writing.write import xml_text
from taskdata.sets.side import Side

NEVER = -math.inf
MISSING = "missing"
"""In place of the digest of a file that is not there."""
UUID = "1"
"""Type of a group of links (LGP) whose values are UUIDs."""


@dataclass(eq=False)
class RankedSource:
    """One source.

    Parameters
    ----------
    side : Side
        The set.
    index : int
        Its place in the order, from 0.
    """

    side: Side
    index: int = 0
    _digests: dict[str, str] = field(default_factory=dict)

    @property
    def document(self) -> Document:
        """The document of the set."""
        return self.side.document

    @cached_property
    def externals(self) -> frozenset[str]:
        """The names of the external files that the root names, in capitals."""
        named = (name for element in self.document.root.elements("XFR") for name in file_names(element))
        return frozenset(name.upper() for name in named)

    @cached_property
    def task_files(self) -> frozenset[str]:
        """The names of the task files that were read, in capitals."""
        return frozenset(file.name.upper() for file in self.document.task_files)

    @property
    def name(self) -> str:
        """Where the set was read from."""
        return self.side.dataset.source

    def top(self) -> Iterator[Node]:
        """Yield what stands under the root, external files put in where they are referred to."""
        read = {file.name.upper(): file.root.children for file in self.document.task_files if file.role == "external"}
        for node in self.document.root.children:
            name = f"{file_name(node)}.XML".upper() if isinstance(node, Element) and node.tag == "XFR" else ""
            if name not in read:
                yield node
                continue
            yield from read[name]
            read[name] = []

    def target(self, identifier: str) -> Element | None:
        """Return the element that a reference in this source points to."""
        return self.document.by_id.get(identifier)

    def file(self, name: str) -> Blob | None:
        """Return a file that is no XML file of the set, None if it is missing or cannot be read."""
        blob = self.document.others.get(name.upper())
        return None if blob is None or blob.fault is not None else blob

    def digest(self, name: str) -> str:
        """Return a digest of a file that is no XML file of the set, ``MISSING`` if it is or cannot be read."""
        key = name if name in self.document.others else name.upper()
        if key not in self._digests:
            blob = self.document.others.get(key)
            found = None if blob is None else digest(blob)
            self._digests[key] = MISSING if found is None else found.hex()
        return self._digests[key]

    def lost(self, element: Element) -> int:
        """Return how many of the files that an element and what stands in it name are lost, as a whole or in part.

        They are missing, unreadable, empty, shorter than stated, or no header of a log.
        """
        return sum(self._is_lost(item, name) for item in element.walk() for name in file_names(item))

    def _is_lost(self, element: Element, name: str) -> bool:
        if any(file.name.upper() == name.upper() for file in self.document.xml_files):
            return False
        blob = self.document.others.get(name.upper())
        if blob is None or not blob.size or self.digest(name) == MISSING:
            return True
        return missing_bytes(element, blob.size) > 0 or (element.tag == "TLG" and name.upper().endswith(".XML"))

    @cached_property
    def fingerprint(self) -> str:
        """A digest of all that the set holds."""
        digest = hashlib.sha256()
        document = self.document
        for file in sorted(document.xml_files, key=lambda file: (file.role != "main", file.name.upper())):
            for piece in xml_text(file):
                digest.update(piece.encode())
        for name in sorted(document.others):
            digest.update(f"{name} {self.digest(name)}\0".encode())
        return digest.hexdigest()

    @cached_property
    def uuids(self) -> dict[str, str]:
        """The first UUID of each linked identifier."""
        found: dict[str, str] = {}
        file = self.document.link_list
        for group in file.root.elements("LGP") if file is not None else ():
            if group.get("LinkGroupType") == UUID:
                for link in group.elements("LNK"):
                    found.setdefault(link.get("ObjectIdRef") or "", (link.get("LinkValue") or "").lower())
        return found


def read_elsewhere(source: RankedSource, sources: Sequence[RankedSource]) -> frozenset[str]:
    """Return the external files that a source names and lost, and that another copy of the same set has.

    A copy has the same root, and names the same external files. Names are in capitals.
    """
    named = source.externals
    lost = named - source.task_files
    if not lost:
        return lost
    return lost & {
        name
        for other in sources
        if other is not source
        and other.externals == named
        and other.document.root.attributes == source.document.root.attributes
        for name in other.task_files
    }


def ranked(sides: Sequence[Side]) -> list[RankedSource]:
    """Return the sources in the order in which their word counts, whatever order they came in.

    First task data sets, then what was made of layers. Of those first what an office wrote, for a machine may not
    change coding data (ISO 11783-10, 8.4, 8.5); of what an office wrote, and of what machines wrote, first the one
    whose last record of work is the latest; then the fuller one; then by content, so that the order is always the same.
    """

    def key(source: RankedSource) -> tuple[bool, bool, float, int]:
        document = source.document
        stamp = max((latest(file.root) for file in document.task_files), default=NEVER)
        return source.side.of_layers, document.origin != "FMIS", -stamp, -sum(document.counts().values())

    keyed = [(key(source), source) for source in map(RankedSource, sides)]
    often = Counter(found for found, _ in keyed)
    keyed.sort(key=lambda item: (item[0], item[1].fingerprint if often[item[0]] > 1 else ""))
    sources = [source for _, source in keyed]
    for index, source in enumerate(sources):
        source.index = index
    return sources


def stamps(element: Element) -> list[float]:
    """Return the time stamps in an element and below, in seconds of the epoch; one without zone counts as UTC."""
    texts = (text for item in element.walk() for name in _stamped(item.tag) if (text := item.attributes.get(name)))
    return [seconds for text in texts if (seconds := _seconds(text)) is not None]


def latest(element: Element) -> float:
    """Return the latest time stamp in an element and below, minus infinity without one."""
    return max(stamps(element), default=NEVER)


@cache
def _stamped(tag: str) -> tuple[str, ...]:
    """Return the letters of the attributes that hold a time stamp."""
    fact = elements().get(tag)
    known = fact.attributes.values() if fact is not None else ()
    return tuple(item.letter for item in known if item.type == "xs:dateTime")


def _seconds(text: str) -> float | None:
    try:
        stamp = datetime.fromisoformat(text.strip())
    except ValueError:
        return None
    return (stamp if stamp.tzinfo is not None else stamp.replace(tzinfo=UTC)).timestamp()
