"""XML bytes to a lossless tree, in one pass, with nothing in the file able to act.

No document type, no entity, no network; depth, attributes and the length of one piece are limited. Points become
columns on the way (``element.PointRun``).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import BinaryIO
from xml.parsers import expat

from taskdata.errors import SourceError
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import POINT, Element, OtherNode, PointRun, PointStores
from taskdata.progress import BYTES, Advance, stage

MAX_DEPTH = 100
MAX_ATTRIBUTES = 1_000
MAX_PIECE = 16 << 20
"""Bytes of one element, text or comment."""
_CHUNK = 1 << 20
_BLANKS = " \t\r\n"
_REMEDY = "Copy it again from the original, or refuse it"


class IllFormedError(SourceError):
    """The bytes are no well-formed XML; what stands before the fault may be rescued (see ``rescue``)."""


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


def parse_xml(stream: BinaryIO, name: str, encoding: str | None = None, *, size: int | None = None) -> ParsedXml:
    """Parse a file of the set.

    Parameters
    ----------
    stream : binary file
        Read to its end.
    name : str
        Name of the file, for places and messages.
    encoding : str, optional
        Overrides what the file says of itself.
    size : int, optional
        How many bytes the stream holds, where that is known; for progress alone.

    Raises
    ------
    SourceError
        The bytes are no well-formed XML, or carry what task data never does (a document type, endless nesting).
    """
    builder = _Builder(name, encoding)
    try:
        with stage(f"Reading {name}", BYTES, size) as advance:
            _feed(builder, stream, advance)
    except expat.ExpatError as error:
        raise IllFormedError(
            f"is not well-formed XML at line {error.lineno}, column {error.offset + 1}",
            where=name,
            why=expat.ErrorString(error.code),
            remedy=f"The file may be cut off or damaged: copy it again from the original{builder.way_out()}",
        ) from None
    except (LookupError, ValueError) as error:
        raise SourceError("declares an unknown encoding", where=name, why=str(error)) from None
    return builder.result()


def _feed(builder: _Builder, stream: BinaryIO, advance: Advance) -> None:
    read = 0
    while chunk := stream.read(_CHUNK):
        read += len(chunk)
        builder.parser.Parse(chunk, False)
        if read - builder.parser.CurrentByteIndex > MAX_PIECE:
            raise SourceError(
                f"holds one element or text of more than {MAX_PIECE >> 20} MiB, which task data never needs",
                where=builder.name,
                remedy=_REMEDY,
            )
        advance(len(chunk))
    builder.parser.Parse(b"", True)


def _numeric_names() -> frozenset[str]:
    """Letters of the point attributes that hold plain numbers."""
    numbers = {"xs:decimal", "xs:long", "xs:unsignedByte", "xs:NMTOKEN"}
    return frozenset(fact.letter for fact in elements()[POINT].attributes.values() if fact.type in numbers)


class _Builder:
    """Expat handlers that grow the tree."""

    def __init__(self, name: str, encoding: str | None) -> None:
        self.name = name
        self.parser = expat.ParserCreate(encoding)
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
        self._numeric = _numeric_names()
        self._stores = PointStores()
        self._names: list[str] = []
        self._stack: list[Element] = []
        self._run: PointRun | None = None
        self._point_open = False
        self._root: Element | None = None
        self._encoding: str | None = None
        self._declared = False
        self._before: list[OtherNode] = []
        self._after: list[OtherNode] = []

    def way_out(self) -> str:
        """Return what else there is to do about a fault, where something stands before it."""
        return ", or read everything before the fault with [[rescue]]" if self._root is not None else ""

    def result(self) -> ParsedXml:
        self._stores.seal()
        if self._root is None:
            raise SourceError("holds no XML element", where=self.name)
        return ParsedXml(self._root, self._encoding, self._declared, self._before, self._after)

    def _start(self, tag: str, flat: list[str]) -> None:
        if self._point_open:
            self._unrun()
        elif tag == POINT and (self._continue_run(flat) or self._begin_run(flat)):
            return
        self._run = None
        line = self.parser.CurrentLineNumber
        element = Element(tag, dict(zip(flat[::2], flat[1::2], strict=True)), file=self.name, line=line)
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
        store.pending_lines.append(self.parser.CurrentLineNumber)
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
        store = run.store
        values = store.pending[-len(store.names) :]
        del store.pending[-len(store.names) :]
        line = store.pending_lines.pop()
        run.stop -= 1
        if not len(run):
            self._stack[-1].children.pop()
        element = Element(POINT, dict(zip(run.names, values, strict=True)), file=self.name, line=line)
        self._stack[-1].append(element)
        self._stack.append(element)
        self._run = None
        self._point_open = False

    def _end(self, tag: str) -> None:
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
        elif text.strip(_BLANKS):
            self._stray("text", text)

    def _comment(self, text: str) -> None:
        self._stray("comment", text)

    def _instruction(self, target: str, text: str) -> None:
        self._stray("instruction", f"{target} {text}" if text else target)

    def _stray(self, kind: str, text: str) -> None:
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
            f"has a document type declaration at line {self.parser.CurrentLineNumber}, which task data never needs",
            where=self.name,
            remedy="Remove the DOCTYPE, or refuse the file: it may try to attack the reader",
        )
