"""Kinds of things, and single things, taken out of a document, with whatever cannot stand without them.

What refers to a thing that is gone loses the reference, or goes too where it says nothing without it: an allocation of
a product, a value of a machine, a log whose values are those of a machine, a grid without its zones, the tasks of a
field that is named.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping

from taskdata.errors import UsageError
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.isoxml.tree.filenames import BINARY, LINK_LIST, file_name, file_names, is_link_list
from taskdata.model.choice import Choice
from taskdata.model.dataset import Dataset
from taskdata.model.lookup import nearest
from taskdata.model.shapes import LineKind

_TAGS: Mapping[str, tuple[str, ...]] = {
    "comments": ("CAN", "CCG", "CCT"),
    "crops": ("CTP",),
    "customers": ("CTR",),
    "farms": ("FRM",),
    "fields": ("PFD",),
    "grids": ("GRD",),
    "guidance": ("GAN", "GGP"),
    "logs": ("TLG",),
    "machines": ("CNN", "DAN", "DLT", "DVC", "TLG"),
    "products": ("PAN", "PDT", "PGP"),
    "tasks": ("TSK",),
    "times": ("TIM",),
    "workers": ("WAN", "WKR"),
    "zones": ("GRD", "TZN"),
}
"""The elements that go with each kind; those of other kinds are told by their records, or by what they attach."""

_NOTHING_WITHOUT = {("DAN", "DeviceIdRef"), ("DLT", "DeviceElementIdRef")}
"""References that the standard lets be absent, and without which the element would mean something else."""

_ZONE_CODES = ("DefaultTreatmentZoneCode", "PositionLostTreatmentZoneCode", "OutOfFieldTreatmentZoneCode")


_BINARY_FILE = re.compile(rf"({'|'.join(BINARY)})\d+\.(?:BIN|XML)")
"""Names of files of logs, grids and points, in capitals."""


class Leaving:
    """Takes things out of a document, which is changed in place.

    Parameters
    ----------
    document : Document
        A copy that belongs to this run.
    dataset : Dataset
        Its records.
    elements : mapping of int to Element
        The element of each key of the records.

    Attributes
    ----------
    notes : list of str
        What goes with what was to go, as sentences.
    """

    def __init__(self, document: Document, dataset: Dataset, elements: Mapping[int, Element]) -> None:
        self.document = document
        self.dataset = dataset
        self.elements = elements
        self.notes: list[str] = []
        self._robbed: list[tuple[Element, str]] = []

    def leave(self, choice: Choice) -> None:
        """Take out the kinds and the single things that a choice leaves out; identifiers that name nothing pass."""
        named = _names_of(self.document.walk())
        ids = set(self.document.by_id)
        for kind in choice.leave:
            for element in list(self._of_kind(kind)):
                self._take_out(element)
        for wanted in choice.leave_out:
            for element in list(self._single(wanted)):
                self._take_out(element)
        self._take_out_hollow()
        self.document.touch()
        gone = ids - set(self.document.by_id)
        while gone:
            before = set(self.document.by_id)
            self._follow(gone)
            self._take_out_hollow()
            self.document.touch()
            gone = before - set(self.document.by_id)
        self._drop_codes()
        still = _names_of(self.document.walk())
        self._drop_files((named | self._unnamed(choice)) - still)
        if "links" in choice.leave:
            self.document.xml_files = [file for file in self.document.xml_files if file.role != "linklist"]
        self.document.touch()

    def _of_kind(self, kind: str) -> Iterator[Element]:
        tags = _TAGS.get(kind, ())
        yield from (element for element in self.document.walk() if element.tag in tags)
        data = self.dataset
        if kind == "areas":
            yield from self._at(area.key for area in data.areas)
        if kind in {"guidance", "lines"}:
            guiding = kind == "guidance"
            yield from self._at(line.key for line in data.lines if (line.kind is LineKind.GUIDANCE) is guiding)
        if kind == "points":
            for field in self.document.by_tag.get("PFD", ()):
                field.children = [child for child in field.children if not isinstance(child, PointRun)]
                yield from list(field.elements("PNT"))
        if kind in {"attachments", "links"}:
            of_links = kind == "links"
            yield from (item for item in self.document.root.elements("AFE") if is_link_list(item) is of_links)

    def _at(self, keys: Iterable[int | None]) -> Iterator[Element]:
        yield from (self.elements[key] for key in keys if key is not None and key in self.elements)

    def _single(self, wanted: str) -> Iterator[Element]:
        """Yield the element of an identifier, and the tasks of a field."""
        element = self.document.by_id.get(wanted)
        if element is None:
            return
        if element.tag == "DET":
            whole = element.nearest_id() if element.parent is None else element.parent.nearest_id()
            what = f"is a part of {whole}, whose description makes sense as a whole only"
            raise UsageError(what, where=wanted, remedy=f"Leave out the machine: [[leave_out={whole}]]")
        yield element
        if element.tag == "PFD":
            tasks = [task for task in self.document.by_tag.get("TSK", ()) if task.get("PartfieldIdRef") == wanted]
            yield from tasks
            if tasks:
                names = ", ".join(task.id or "TSK" for task in tasks)
                self.notes.append(f"With field {wanted} its tasks are left out: {names}.")

    def _take_out(self, element: Element) -> None:
        parent = element.parent
        if parent is not None and element in parent.children:
            parent.children.remove(element)
            self._robbed.append((parent, element.tag))

    def _take_out_hollow(self) -> None:
        """Take out what has lost the last of the children that it needs, such as a group of its guidance lines."""
        while self._robbed:
            parent, tag = self._robbed.pop()
            fact = elements().get(parent.tag)
            needed = fact is not None and any(child.tag == tag and child.least for child in fact.children)
            if needed and not any(parent.elements(tag)):
                self._take_out(parent)

    def _follow(self, gone: set[str]) -> None:
        """Take references to what is gone out of the rest, and with them what says nothing without them."""
        lost: Counter[str] = Counter()
        for element in list(self.document.walk()):
            leading = [(fact, target) for fact, target in element.references() if target in gone]
            for fact, _ in leading:
                if fact.required or (element.tag, fact.name) in _NOTHING_WITHOUT:
                    self._take_out(element)
                else:
                    element.attributes.pop(fact.letter)
                    lost[f"{element.tag}.{fact.name}"] += 1
            if leading and _says_nothing(element):
                self._take_out(element)
            if element.tag == "TLG" and gone & set(_in_header(self.document, element)):
                self._take_out(element)
        links = self.document.link_list
        for link in [] if links is None else [item for item in links.root.walk() if item.tag == "LNK"]:
            if link.get("ObjectIdRef") in gone:
                self._take_out(link)
        if lost:
            told = ", ".join(f"{name} ({count})" for name, count in sorted(lost.items()))
            self.notes.append(f"References to what is left out are left out too: {told}.")

    def _drop_codes(self) -> None:
        """Take out what a task says of zones that it no longer has, and grids whose zones are gone."""
        had = {self.elements[task.key] for task in self.dataset.tasks if task.zones and task.key is not None}
        for task in self.document.by_tag.get("TSK", ()):
            if any(task.elements("TZN")) or task not in had:
                continue
            for name in _ZONE_CODES:
                task.attributes.pop(letter("TSK", name), None)

    def _unnamed(self, choice: Choice) -> set[str]:
        """Return the names of files that hold what is left out by their names, whether or not an element names them.

        Of a log that nothing names it is not known when it began either.
        """
        names = {name.upper() for name in (*self.document.others, *(file.name for file in self.document.xml_files))}
        left = {tag for kind in choice.leave for tag in _TAGS.get(kind, ()) if tag in BINARY}
        left |= {"PNT"} if "points" in choice.leave else set()
        if "tasks" in choice.leave or choice.since or choice.until:
            left |= {"GRD", "TLG"}
        binary = {name: match[1] for name in names if (match := _BINARY_FILE.fullmatch(name))}
        found = {name for name, tag in binary.items() if tag in left}
        if "attachments" in choice.leave:
            found |= {name.upper() for name in self.document.others} - set(binary)
        return found - {LINK_LIST}

    def _drop_files(self, names: set[str]) -> None:
        """Take out the files that nothing names any more."""
        document = self.document
        document.others = {name: blob for name, blob in document.others.items() if name not in names}
        document.xml_files = [file for file in document.xml_files if file.name.upper() not in names]


def refuse_unknown(wanted: Iterable[str], known: Collection[str]) -> None:
    """Refuse identifiers that name nothing.

    Raises
    ------
    UsageError
        There is one; the error names those that are written most alike.
    """
    for item in wanted:
        if item not in known:
            raise UsageError("nothing has this identifier", where=item, remedy=nearest(item, known))


def _says_nothing(element: Element) -> bool:
    """Tell whether an element says nothing without the references that it lost: a shift of lines, or a comment."""
    silent = element.tag == "GST" or (element.tag == "CAN" and element.get("FreeCommentText") is None)
    return silent and not list(element.references())


def _in_header(document: Document, log: Element) -> Iterator[str]:
    """Yield the identifiers that the header of a log refers to."""
    header = document.header(file_name(log) or "")
    for element in () if header is None else header.root.walk():
        yield from (target for _, target in element.references())


def _names_of(elements: Iterable[Element]) -> set[str]:
    """Return the names, in capitals, of the files that elements name, but for the link list."""
    return {name.upper() for element in elements for name in file_names(element)} - {LINK_LIST}
