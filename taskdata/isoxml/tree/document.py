"""A whole set as a lossless document: XML files as trees, every other file as bytes on demand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from functools import cached_property

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.isoxml.facts import EXTERNAL_ROOT, ROOT, elements
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.tree.element import POINT, Element, Node, OtherNode, PointRun
from taskdata.records import short_repr

LINE_STRING = "LSG"


@short_repr
@dataclass(eq=False)
class XmlFile:
    """One XML file of the set.

    Parameters
    ----------
    name : str
        As stored.
    role : str
        ``main``, ``external`` (a file that an XFR names), ``header`` (of a time log) or ``linklist``.
    encoding : str or None
        As declared; None without an XML declaration or without encoding in it.
    declared, mark : bool
        Whether there is an XML declaration, and a byte order mark.
    spaced : bool
        Whether a blank stands before the end of an empty element, as in ``<PNT />``.
    guessed : str or None
        Encoding that was guessed because the bytes are not what the file says.
    blob : Blob or None
        The bytes it was read from, for the schema check; None for a file made here.
    size : int or None
        Bytes of the file as stored, which are not those of ``blob`` where another encoding was read; None for a file
        made here.
    mended : tuple of str
        Rules by which the bytes are no XML, where they can mean one thing only and were read so.
    """

    name: str
    role: str
    root: Element
    encoding: str | None = "UTF-8"
    declared: bool = True
    mark: bool = False
    spaced: bool = False
    guessed: str | None = None
    before: list[OtherNode] = field(default_factory=list)
    after: list[OtherNode] = field(default_factory=list)
    blob: Blob | None = None
    size: int | None = None
    mended: tuple[str, ...] = ()


@short_repr
@dataclass(eq=False)
class Document:
    """A set of files.

    Parameters
    ----------
    source : str
        Where it was read from.
    xml_files : list of XmlFile
        The main file first.
    others : dict of str to Blob
        Every file that is no XML file of the set, by its name in capitals: binary files, attachments, strangers,
        and XML files that could not be parsed.
    findings : list of Finding
        What reading found wrong.
    folder : str or None
        Name of the folder it lay in.
    authored : bool
        Records or edited rows were laid over it, so that it says what no set said before.
    before : tuple of Document
        What it was before that; several where sets were merged, none where it was made of records alone.
    """

    source: str
    xml_files: list[XmlFile]
    others: dict[str, Blob] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    folder: str | None = None
    authored: bool = False
    before: tuple[Document, ...] = ()
    _headers_of: tuple[tuple[int, ...], dict[str, XmlFile]] = field(default=((), {}), init=False, repr=False)

    @property
    def main(self) -> XmlFile:
        """The main file."""
        return self.xml_files[0]

    @property
    def root(self) -> Element:
        """The root element of the main file."""
        return self.main.root

    @property
    def task_files(self) -> list[XmlFile]:
        """The main file and the external files: where the task data elements stand."""
        return [file for file in self.xml_files if file.role in {"main", "external"}]

    @property
    def link_list(self) -> XmlFile | None:
        """The link list, if the set has one."""
        return next((file for file in self.xml_files if file.role == "linklist"), None)

    @property
    def version(self) -> tuple[int, int] | None:
        """Major and minor version of the main file, None where they are no numbers."""
        texts = (self.root.attributes.get("VersionMajor", ""), self.root.attributes.get("VersionMinor", "0"))
        if not all(text.strip().isascii() and text.strip().isdigit() and len(text) < 5 for text in texts):
            return None
        return int(texts[0]), int(texts[1])

    @property
    def origin(self) -> str | None:
        """``FMIS`` or ``MICS``, the system that wrote the set last, None where the file does not say."""
        code = self.root.attributes.get("DataTransferOrigin")
        values = elements()[ROOT].attributes["DataTransferOrigin"].values
        return next((value.name for value in values if str(value.low) == code), None)

    def header(self, name: str) -> XmlFile | None:
        """Return the header of the time log with that base name."""
        return self._headers.get(f"{name}.XML".upper())

    @property
    def _headers(self) -> dict[str, XmlFile]:
        """The headers by their names in capitals; looked for anew where files came or went."""
        state = (id(self.xml_files), len(self.xml_files), id(self.xml_files[-1]))
        if self._headers_of[0] != state:
            found: dict[str, XmlFile] = {}
            for file in self.xml_files:
                if file.role == "header":
                    found.setdefault(file.name.upper(), file)
            self._headers_of = state, found
        return self._headers_of[1]

    def binary(self, name: str) -> Blob | None:
        """Return the binary file with that base name (TLG, GRD, PNT), None if missing."""
        return self.others.get(f"{name}.BIN".upper())

    def walk(self) -> Iterator[Element]:
        """Yield every element of main and external files in document order, points in runs not among them."""
        for file in self.task_files:
            yield from file.root.walk()

    def top(self, tag: str) -> list[Element]:
        """Return the elements of ``tag`` directly under the roots of main and external files, as one list."""
        return [item for file in self.task_files for item in file.root.elements(tag)]

    @cached_property
    def by_tag(self) -> dict[str, list[Element]]:
        """Every element of main and external files by tag, in document order; points in runs not among them."""
        found: dict[str, list[Element]] = {}
        for element in self.walk():
            found.setdefault(element.tag, []).append(element)
        return found

    @cached_property
    def by_id(self) -> dict[str, Element]:
        """The first element of each identifier."""
        found: dict[str, Element] = {}
        for element in self.walk():
            if element.id is not None:
                found.setdefault(element.id, element)
        return found

    @cached_property
    def keys(self) -> dict[Element, int]:
        """Number of each element in document order over all XML files, counted from 0 (see ``carry``)."""
        return {element: key for key, element in enumerate(self.nodes()) if isinstance(element, Element)}

    def nodes(self) -> Iterator[object]:
        """Yield every node of every XML file in document order: elements, runs of points, strays."""
        for file in self.xml_files:
            yield from file.before
            stack: list[object] = [file.root]
            while stack:
                node = stack.pop()
                yield node
                if isinstance(node, Element):
                    stack.extend(reversed(node.children))
            yield from file.after

    def counts(self) -> dict[str, int]:
        """How many elements of each tag the task data holds, points in runs included, roots left out."""
        tally = {tag: len(found) for tag, found in self.by_tag.items() if tag not in {ROOT, EXTERNAL_ROOT}}
        points = sum(element.point_count() for found in self.by_tag.values() for element in found)
        return dict(sorted({**tally, **({"PNT": points} if points else {})}.items()))

    def expand_loose_points(self) -> None:
        """Turn points that stand in runs outside a line string into elements, so that each has a key of its own.

        Only the points of a line string make up one thing together; any other point is a thing by itself. Texts, lines
        and order stay as they were.
        """
        loose = [
            element
            for tag, found in self.by_tag.items()
            for element in (found if tag != LINE_STRING else ())
            if any(isinstance(child, PointRun) for child in element.children)
        ]
        for element in loose:
            element.children = [node for child in element.children for node in _expanded(child, element)]
        if loose:
            self.touch()

    def touch(self) -> None:
        """Forget every index after a change of the trees."""
        for name in ("by_tag", "by_id", "keys"):
            self.__dict__.pop(name, None)

    def forget_keys(self) -> None:
        """Give back the memory of ``keys``, which few ask for once records are made; they are counted anew then."""
        self.__dict__.pop("keys", None)


def _expanded(node: Node, parent: Element) -> Iterator[Node]:
    """Yield the points of a run as elements, any other node as it is."""
    if not isinstance(node, PointRun):
        yield node
        return
    for index, attributes in enumerate(node.rows()):
        yield Element(POINT, attributes, file=parent.file, line=node.line(index), parent=parent)
