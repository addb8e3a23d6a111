"""What stands in an XML file before the place where it is cut off or damaged, as a whole file again."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.parsers import expat

from taskdata.dataclass import dataclass

_TRIES = 100
_ID = re.compile(r"[A-Z]{3}-?[0-9]+")


@dataclass(frozen=True)
class Rescued:
    """What was saved of a file.

    Parameters
    ----------
    content : bytes
        The file up to the cut, every open element closed; lines are those of the file.
    line : int
        Where the fault is, counted from 1.
    reason : str
        What the parser says of it.
    bytes, size : int
        How many bytes of the file were kept, and how many it has.
    incomplete : str or None
        Identifier of the innermost element with one in which the cut lies.
    """

    content: bytes
    line: int
    reason: str
    octets: int
    size: int
    incomplete: str | None


class _HostileError(Exception):
    """The file carries what no task data does; nothing of it is rescued."""


@dataclass(frozen=True, slots=True)
class _Open:
    tag: str
    id: str | None
    start: int


class _Reader:
    """A parser that knows which elements are open."""

    def __init__(self, encoding: str | None) -> None:
        self.stack: list[_Open] = []
        self.parser = expat.ParserCreate(encoding)
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = lambda _: self.stack.pop()
        self.parser.StartDoctypeDeclHandler = self._doctype

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        name = attributes.get("A", "")
        self.stack.append(_Open(tag, name if _ID.fullmatch(name) else None, self.parser.CurrentByteIndex))

    def _doctype(self, *_: object) -> None:
        raise _HostileError


def rescued(content: bytes, encoding: str | None = None) -> Rescued | None:
    """Return what stands before the first fault of an XML file; None where that is nothing, or no fault is there.

    A ring of a polygon in which the cut lies is left out: half a ring would be another outline.

    Parameters
    ----------
    content : bytes
        The file, in UTF-8 or another encoding that keeps ASCII as it is.
    encoding : str, optional
        Overrides what the file says of itself.
    """
    whole = _Reader(encoding)
    try:
        whole.parser.Parse(content, True)
    except expat.ExpatError as error:
        line, reason, at = error.lineno, expat.ErrorString(error.code), whole.parser.ErrorByteIndex
    except (_HostileError, LookupError, ValueError):
        return None
    else:
        return None
    incomplete = next((item.id for item in reversed(whole.stack) if item.id), None)
    for _ in range(_TRIES):
        end, found = _closed(content, at, encoding)
        if found is not None:
            return Rescued(found, line, reason, end, len(content), incomplete)
        at = content.rfind(b">", 0, max(0, at - 1)) + 1
        if not at:
            return None
    return None


def _closed(content: bytes, at: int, encoding: str | None) -> tuple[int, bytes | None]:
    """Return where a file can be cut at or before an offset, and it up to there with its elements closed, if it can."""
    reader = _Reader(encoding)
    try:
        reader.parser.Parse(content[:at], False)
        ring = _half_ring(reader.stack)
        if ring is not None:
            return _closed(content, ring.start, encoding)
        if not reader.stack:
            return at, None
        tags = "".join(f"</{item.tag}>" for item in reversed(reader.stack)).encode()
        reader.parser.Parse(tags, True)
    except (expat.ExpatError, _HostileError, LookupError, ValueError):
        return at, None
    return at, content[:at] + tags


def _half_ring(stack: list[_Open]) -> _Open | None:
    """Return the ring of a polygon that is open, None without one."""
    pairs = pairwise(stack)
    return next((inner for outer, inner in pairs if (outer.tag, inner.tag) == ("PLN", "LSG")), None)
