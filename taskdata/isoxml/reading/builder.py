"""The tree of one XML file, grown while a parser reads it; points become columns on the way (``element.PointRun``)."""

from __future__ import annotations

from dataclasses import field
from xml.parsers import expat

from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.isoxml.facts import references
from taskdata.isoxml.reading.point_runs import FoundRun, numeric_names
from taskdata.isoxml.tree.element import POINT, Element, OtherNode, PointRun
from taskdata.isoxml.tree.point_stores import PointStores

MAX_DEPTH = 100
MAX_ATTRIBUTES = 1_000
MAX_PIECE = 16 << 20
"""Bytes of one element or comment, letters of one text."""
_REMEDY = "Copy it again from the original, or refuse it"
_BLANKS = " \t\r\n"
_ASCII_ALIKE = {"UTF-8", "US-ASCII", "ISO-8859-1"}
"""Encodings that the parser itself knows and that keep ASCII as it is."""


@dataclass(eq=False)
class ParsedXml:
    """A parsed file: its root, what stood before and after it, and what its declaration said.

    ``encoding`` is the declared one, None without a declaration of it; ``declared`` tells whether there was an XML
    declaration at all.
    """

    root: Element
    encoding: str | None = None
    declared: bool = False
    before: list[OtherNode] = field(default_factory=list)
    after: list[OtherNode] = field(default_factory=list)


class TreeBuilder:
    """Expat handlers that grow the tree.

    ``skipped_lines`` is how many lines the parser has not seen, because whole runs were put in beside it.
    """

    def __init__(self, name: str, encoding: str | None) -> None:
        self.name = name
        self.parser = expat.ParserCreate(encoding)
        self.skipped_lines = 0
        self.parser.ordered_attributes = True
        self.parser.buffer_text = True
        self.parser.buffer_size = 1 << 16
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.CommentHandler = self._comment
        self.parser.ProcessingInstructionHandler = self._instruction
        self.parser.XmlDeclHandler = self._declaration
        self.parser.StartDoctypeDeclHandler = self._doctype
        self._numeric = numeric_names()
        self._stores = PointStores()
        self._names: list[str] = []
        self._stack: list[Element] = []
        self._run: PointRun | None = None
        self._point_open = False
        self._blanks: list[str] = []
        self._last_line = 0
        self._named: dict[str, str] = {}  # the one copy of each identifier that elements refer to
        self._root: Element | None = None
        self._given = encoding
        self._encoding: str | None = None
        self._declared = False
        self._before: list[OtherNode] = []
        self._after: list[OtherNode] = []

    def way_out(self) -> str:
        """Return what else there is to do about a fault, where something stands before it."""
        return ", or read everything before the fault with [[rescue]]" if self._root is not None else ""

    def result(self) -> ParsedXml:
        """Return the file, once everything is fed.

        Raises
        ------
        SourceError
            There is no element.
        """
        self._stores.seal()
        if self._root is None:
            raise SourceError("holds no XML element", where=self.name)
        return ParsedXml(self._root, self._encoding, self._declared, self._before, self._after)

    def takes_runs(self) -> bool:
        """Tell whether runs may be put in beside the parser: it reads ASCII as ASCII."""
        return (self._given or self._encoding or "UTF-8").upper() in _ASCII_ALIKE

    def points(self) -> tuple[PointRun | None, int]:
        """Return the run that would grow and how many points it has, none while a point is open."""
        return (None, 0) if self._run is None or self._point_open else (self._run, len(self._run))

    def put_in(self, octets: bytes, found: FoundRun) -> None:
        """Put in a run of points, of which the parser has read the first one just now."""
        run = self._run
        if run is None:
            raise AssertionError("the first point of a run is in no run")
        _, line = run.store.take_back()
        run.store.add_bulk(octets, found.count, line, found.lines)
        run.stop += found.count - 1
        self.skipped_lines += found.lines * (found.count - 1)

    def relieve(self) -> None:
        """Turn into numbers what was collected, where it is much and can be."""
        if not self._point_open:
            self._stores.relieve()

    def _start(self, tag: str, flat: list[str]) -> None:
        self._blanks.clear()
        if self._point_open:
            self._unrun()
        elif tag == POINT and (self._continue_run(flat) or self._begin_run(flat)):
            return
        self._run = None
        line = self._line()
        attributes = dict(zip(flat[::2], flat[1::2], strict=True))
        for fact in references(tag):
            if text := attributes.get(fact.letter):
                attributes[fact.letter] = self._named.setdefault(text, text)
        element = Element(tag, attributes, file=self.name, line=line)
        if self._stack:
            self._stack[-1].append(element)
        else:
            self._root = element
        self._stack.append(element)
        if len(self._stack) > MAX_DEPTH:
            what = f"nests elements deeper than {MAX_DEPTH} levels at line {line}, which task data never needs"
            raise SourceError(what, where=self.name, remedy=_REMEDY)
        if len(flat) > 2 * MAX_ATTRIBUTES:
            what = f"has more than {MAX_ATTRIBUTES} attributes in one element at line {line}"
            raise SourceError(what, where=self.name, remedy=_REMEDY)

    def _continue_run(self, flat: list[str]) -> bool:
        """Put a point into the current run, or say that it does not fit; called for nearly every point."""
        run = self._run
        if run is None or flat[::2] != self._names:
            return False
        store = run.store
        store.pending += flat[1::2]
        store.pending_lines.append(self.parser.CurrentLineNumber + self.skipped_lines)
        run.stop += 1
        self._point_open = True
        return True

    def _begin_run(self, flat: list[str]) -> bool:
        """Begin a run with a point of numeric attributes, or say that it is none."""
        self._names = flat[::2]
        names = tuple(self._names)
        if not self._stack or not names or set(names) - self._numeric:
            return False
        self._run = self._stores.begin(names)
        self._stack[-1].children.append(self._run)
        return self._continue_run(flat)

    def _unrun(self) -> None:
        """Take the open point out of its run again, because something stands inside it."""
        run = self._run
        if run is None:
            return
        values, line = run.store.take_back()
        run.stop -= 1
        if not len(run):
            self._stack[-1].children.pop()
        element = Element(POINT, dict(zip(run.names, values, strict=True)), file=self.name, line=line)
        self._stack[-1].append(element)
        self._stack.append(element)
        self._run = None
        self._point_open = False

    def _end(self, tag: str) -> None:
        self._blanks.clear()
        if self._point_open:
            self._point_open = False
            return
        self._stack.pop()
        self._run = None

    def _text(self, text: str) -> None:
        """Keep text; a long one comes in pieces. White space that XML itself knows is none between elements."""
        children = self._stack[-1].children
        last = children[-1] if children else None
        if isinstance(last, OtherNode) and last.kind == "text":
            last.text += text
            if len(last.text) > MAX_PIECE:
                raise self.too_long()
        elif text.strip(_BLANKS):
            self._stray("text", "".join([*self._blanks, text]))
        else:
            self._blanks.append(text)

    def too_long(self) -> SourceError:
        """Return the failure that something in the file is longer than ``MAX_PIECE``."""
        what = f"holds one element or text of more than {MAX_PIECE >> 20} MiB, which task data never needs"
        return SourceError(what, where=self.name, remedy=_REMEDY)

    def _comment(self, text: str) -> None:
        self._stray("comment", text)

    def _instruction(self, target: str, text: str) -> None:
        self._stray("instruction", f"{target} {text}" if text else target)

    def _line(self) -> int:
        """Return the line that the parser is at; what stands on one line has one number in memory."""
        line = self.parser.CurrentLineNumber + self.skipped_lines
        if line != self._last_line:
            self._last_line = line
        return self._last_line

    def _stray(self, kind: str, text: str) -> None:
        self._blanks.clear()
        if self._point_open:
            self._unrun()
        self._run = None
        if self._stack:
            self._stack[-1].children.append(OtherNode(kind, text))
        else:
            (self._after if self._root is not None else self._before).append(OtherNode(kind, text))

    def _declaration(self, version: str, encoding: str | None, standalone: int) -> None:
        self._declared = True
        self._encoding = encoding

    def _doctype(self, *_: object) -> None:
        raise SourceError(
            f"has a document type declaration at line {self._line()}, which task data never needs",
            where=self.name,
            remedy="Remove the DOCTYPE, or refuse the file: it may try to attack the reader",
        )
