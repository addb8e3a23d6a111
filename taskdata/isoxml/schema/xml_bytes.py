"""The bytes of a file as the validating parser gets them, piece by piece.

Entities stay unresolved, no DTD and nothing from the network is loaded. The attributes of the XML Schema instance
namespace (``xsi:type``, ``xsi:nil``, hints where a schema lies) could steer a validator; they are made to stand in an
unknown namespace, which schemas pass over. Only one byte of the namespace name changes, so lines and sizes stay.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from copy import copy
from functools import partial
from typing import Any, BinaryIO, Final

from lxml import etree

from taskdata.isoxml.schema.points import thinned

INSTANCE_NAMESPACE: Final = b"http://www.w3.org/2001/XMLSchema-instance"
PROPRIETARY: Final = re.compile(r"P[0-9]+_")
BLANKS: Final = " \t\r\n"
"""White space as XML knows it."""

MOST_NAMES: Final = 200
"""So many different proprietary names can be declared to a schema without slowing it down."""

_CHUNK: Final = 1 << 20
_NAMES: Final = re.compile(rb"P[0-9]+_[^\s=/<>\"'&]*")


class XmlBytes:
    """A readable view on the bytes of one XML file, which are never held as a whole.

    Parameters
    ----------
    opener : callable
        Opens the file; called for each time that it is read. UTF-16 is re-coded to UTF-8, at once; every other
        encoding is left to the parser.
    """

    def __init__(self, opener: Callable[[], BinaryIO]) -> None:
        self.encoding: str | None = None
        with opener() as stream:
            head = stream.read(2)
            if head in {b"\xff\xfe", b"\xfe\xff"}:
                data = (head + stream.read()).decode("utf-16", errors="replace").encode("utf-8")
                opener = partial(io.BytesIO, data)
                self.encoding = "utf-8"
        self._pieces: Callable[[], Iterator[bytes]] = partial(_pieces, opener)
        self._left: Iterator[bytes] = iter(())
        self._piece, self._at = b"", 0

    def thinned(self, major: int) -> XmlBytes:
        """Return the same file with one point instead of most runs of plain ones, which is valid where this one is."""
        other, pieces = copy(self), self._pieces
        other._pieces = lambda: (thinned(piece, major) for piece in pieces())
        return other

    def proprietary_names(self) -> frozenset[str]:
        """Return the proprietary names of elements and attributes that occur.

        A name that only stands in a comment or a value may be among them, which does no harm.
        """
        found = {name for piece in self._pieces() for name in _NAMES.findall(piece)}
        names = (name.decode("utf-8", errors="replace") for name in found)
        return frozenset(name for name in names if _is_xml_name(name))

    def read(self, size: int = -1) -> bytes:
        """Return the next bytes, some of them, and none at the end."""
        while self._at >= len(self._piece):
            piece = next(self._left, None)
            if piece is None:
                return b""
            self._piece, self._at = piece, 0
        end = len(self._piece) if size < 0 else self._at + size
        found = self._piece[self._at : end]
        self._at = end
        return found

    def is_plain(self) -> bool:
        """Say whether a validating parser may read the file: it is XML without a DTD, and its root has no namespace.

        A parser that validates while it reads does not stand up to entities, which only a DTD can declare.
        """
        try:
            for _, root in self.events("start"):
                return root.getroottree().docinfo.internalDTD is None and not root.tag.startswith("{")
        except etree.XMLSyntaxError:
            return False
        return False

    def events(self, *kinds: str, schema: etree.XMLSchema | None = None) -> etree.iterparse:
        """Return a parser over the whole file that gives ``kinds`` of events and resolves nothing.

        Raises
        ------
        lxml.etree.XMLSyntaxError
            While iterating: the file is not well formed, or not valid against ``schema``.
        """
        self._left, self._piece, self._at = self._pieces(), b"", 0
        options: dict[str, Any] = {
            "resolve_entities": False,
            "no_network": True,
            "load_dtd": False,
            "attribute_defaults": False,
            "dtd_validation": False,
            "huge_tree": False,
            "encoding": self.encoding,
        }
        return etree.iterparse(self, events=kinds, schema=schema, **options)


def _pieces(opener: Callable[[], BinaryIO]) -> Iterator[bytes]:
    """Yield the bytes of a file in pieces that each end before a tag, so that no name or point lies in two of them."""
    other = INSTANCE_NAMESPACE[:-1] + b"_"
    with opener() as stream:
        rest = b""
        while chunk := stream.read(_CHUNK):
            whole = rest + chunk
            cut = max(whole.rfind(b"<"), 0)
            if cut:
                yield whole[:cut].replace(INSTANCE_NAMESPACE, other)
            rest = whole[cut:]
        yield rest.replace(INSTANCE_NAMESPACE, other)


def _is_xml_name(name: str) -> bool:
    try:
        etree.QName(name)
    except ValueError:
        return False
    return ":" not in name
