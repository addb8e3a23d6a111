"""The elements of an XML file of layers, one by one in bounded memory; nothing outside the file is ever opened.

A file that declares entities is refused: no format of layers needs them, and they can blow a few bytes up to gigabytes.
"""

from __future__ import annotations

import codecs
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import BinaryIO, NamedTuple
from xml.parsers import expat

from taskdata.dataclass import dataclass
from taskdata.packed import FAULTS
from taskdata.phrases import phrase
from taskdata.progress import BYTES, stage

MOST_LEVELS = 100
"""How deep elements may lie in one another."""

MOST_TEXT = 1 << 28
"""Characters that one element may hold, with all elements in it."""

_CHUNK = 1 << 18
_NONE: dict[str, str] = {}
_DECLARED = re.compile(rb"""<\?xml[^>]*encoding\s*=\s*["']([^"']+)""")
_GUESS = "windows-1252"


@dataclass(slots=True)
class Node:
    """An element with all that is in it.

    Parameters
    ----------
    tag : str
        Its name without the prefix of its namespace.
    attributes : dict of str to str
        By name as it stands in the file.
    text : str
        Its own text.
    """

    tag: str
    attributes: dict[str, str]
    text: str = ""
    children: Sequence[Node] = ()

    def add(self, node: Node) -> None:
        """Add an element; one without any shares what it has with all others, since there may be millions."""
        if isinstance(self.children, list):
            self.children.append(node)
        else:
            self.children = [node]

    def child(self, *path: str) -> Node | None:
        """Return the first element below, by the names on the way to it."""
        found: Node | None = self
        for tag in path:
            found = None if found is None else next((item for item in found.children if item.tag == tag), None)
        return found

    def of(self, *path: str) -> str | None:
        """Return the text of an element below, None where there is none."""
        found = self.child(*path)
        return None if found is None else found.text

    def all(self, *tags: str) -> Iterator[Node]:
        """Yield the elements right below that have one of these names."""
        return (item for item in self.children if item.tag in tags)


class Event(NamedTuple):
    """The begin or the end of an element that is gone through, or an element with all that is in it."""

    kind: str
    tag: str
    node: Node


class BrokenMarkupError(Exception):
    """The file is damaged or cut off, or holds what such a file never does.

    Parameters
    ----------
    line : int
        Where, from 1.
    why : str
        In words.
    """

    def __init__(self, line: int, why: str) -> None:
        super().__init__(f"{why} in line {line}")
        self.line, self.why = line, why


def _read(stream: BinaryIO, line: int = 1) -> bytes:
    """Return the next bytes of a file, which may lie in an archive."""
    try:
        return stream.read(_CHUNK)
    except FAULTS as error:
        if isinstance(error, OSError) and error.errno is not None:  # the disk reports it, and no method of packing
            raise
        raise BrokenMarkupError(line, f"the archive is damaged there ({error})") from None


def guessed_encoding(opener: Callable[[], BinaryIO]) -> str | None:
    """Return what a file is read as that is not in the encoding that it states, None where it is."""
    decoder = codecs.getincrementaldecoder("utf-8")()
    with opener() as stream:
        try:
            chunk = _read(stream)
            if not _says_utf_8(chunk):
                return None
            while chunk:
                decoder.decode(chunk)
                chunk = _read(stream)
        except UnicodeDecodeError:
            return _GUESS
        except BrokenMarkupError:  # reading it again says so
            return None
    return None


def _says_utf_8(head: bytes) -> bool:
    stated = _DECLARED.search(head[:1000])
    name = stated[1].decode("ascii", "replace").lower() if stated else "utf-8"
    return name in {"utf-8", "utf8"} and not head.startswith((codecs.BOM_UTF16_BE, codecs.BOM_UTF16_LE))


def events(
    opener: Callable[[], BinaryIO], size: int, name: str, through: frozenset[str], encoding: str | None = None
) -> Iterator[Event]:
    """Yield ``begin`` and ``end`` of the elements that are gone through, and ``whole`` of each other right in them.

    Parameters
    ----------
    opener : callable
        Gives the bytes of the file.
    size : int
        How many there are, for progress alone.
    name : str
        Name of the file, for progress alone.
    through : frozenset of str
        Names of the elements that are gone through; the first element of the file must be one of them.
    encoding : str, optional
        What the file is in, where it does not say the truth.

    Raises
    ------
    BrokenMarkupError
        Once what stands before the damage was given.
    """
    builder = _Builder(through, encoding)
    with opener() as stream, stage(phrase("Reading {name}", name=name), BYTES, size) as advance:
        more = True
        while more:
            chunk = _read(stream, builder.parser.CurrentLineNumber)
            more = bool(chunk)
            broken = builder.feed(chunk)
            yield from builder.ready
            builder.ready.clear()
            if broken is not None:
                raise broken
            advance(len(chunk))


class _Builder:
    """Handlers that make events."""

    def __init__(self, through: frozenset[str], encoding: str | None) -> None:
        self.through = through
        self.ready: list[Event] = []
        self.parser = expat.ParserCreate(encoding)
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.EntityDeclHandler = self._entity
        self._open: list[Node] = []
        self._stack: list[Node] = []
        self._texts: list[list[str]] = []
        self._levels = 0
        self._size = 0

    def feed(self, chunk: bytes) -> BrokenMarkupError | None:
        """Take further bytes, none at the end of the file; return what is wrong with them."""
        try:
            self.parser.Parse(chunk, not chunk)
        except BrokenMarkupError as error:
            return error
        except expat.ExpatError as error:
            return BrokenMarkupError(error.lineno, expat.ErrorString(error.code))
        except (LookupError, ValueError) as error:
            return BrokenMarkupError(1, str(error))
        return None

    def _refuse(self, why: str) -> None:
        raise BrokenMarkupError(self.parser.CurrentLineNumber, why)

    def _entity(self, *_: object) -> None:
        self._refuse("it declares entities, which no such file needs")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        tag = name.rpartition(":")[2]
        self._levels += 1
        if self._levels > MOST_LEVELS:
            self._refuse(f"more than {MOST_LEVELS} elements lie in one another")
        node = Node(sys.intern(tag), attributes or _NONE)
        if not self._stack and tag in self.through:
            self._open.append(node)
            self.ready.append(Event("begin", tag, node))
            return
        if not self._open:
            self._refuse(f"it begins with the element {tag[:50]}")
        if self._stack:
            self._stack[-1].add(node)
        else:
            self._size = 0
        self._stack.append(node)
        self._texts.append([])

    def _text(self, text: str) -> None:
        if self._texts:
            self._size += len(text)
            if self._size > MOST_TEXT:
                self._refuse(f"an element holds more than {MOST_TEXT >> 20} million characters")
            self._texts[-1].append(text)

    def _end(self, _: str) -> None:
        self._levels -= 1
        if not self._stack:
            node = self._open.pop()
            self.ready.append(Event("end", node.tag, node))
            return
        node = self._stack.pop()
        node.text = "".join(self._texts.pop())
        if not self._stack:
            self.ready.append(Event("whole", node.tag, node))
