"""The bytes of a file as the validating parser gets them, piece by piece.

Entities stay unresolved, no DTD and nothing from the network is loaded. The attributes of the XML Schema instance
namespace (``xsi:type``, ``xsi:nil``, hints where a schema lies) could steer a validator; they are made to stand in an
unknown namespace, which schemas pass over. Only one byte of the namespace name changes, so lines and sizes stay.
"""

from __future__ import annotations

import re
from typing import Any, Final

from lxml import etree

from taskdata.isoxml.schema.points import thinned

INSTANCE_NAMESPACE: Final = b"http://www.w3.org/2001/XMLSchema-instance"
PROPRIETARY: Final = re.compile(r"P[0-9]+_")
BLANKS: Final = " \t\r\n"
"""White space as XML knows it."""

MOST_NAMES: Final = 200
"""So many different proprietary names can be declared to a schema without slowing it down."""

_NAMES: Final = re.compile(rb"P[0-9]+_[^\s=/<>\"'&]*")


class XmlBytes:
    """A readable view on the bytes of one XML file.

    Parameters
    ----------
    data : bytes
        The whole file. UTF-16 is re-coded to UTF-8; every other encoding is left to the parser.
    """

    def __init__(self, data: bytes) -> None:
        self.encoding: str | None = None
        if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
            data = data.decode("utf-16", errors="replace").encode("utf-8")
            self.encoding = "utf-8"
        self._data = data
        self._changes = [found.end() - 1 for found in re.finditer(re.escape(INSTANCE_NAMESPACE), data)]
        self._at = 0

    def thinned(self, major: int) -> XmlBytes:
        """Return the same file with one point instead of each run of plain ones, which is valid where this one is."""
        other = XmlBytes(thinned(self._data, major))
        other.encoding = self.encoding
        return other

    def proprietary_names(self) -> frozenset[str]:
        """Return the proprietary names of elements and attributes that occur.

        A name that only stands in a comment or a value may be among them, which does no harm.
        """
        found = {match.group() for match in _NAMES.finditer(self._data)}
        names = (name.decode("utf-8", errors="replace") for name in found)
        return frozenset(name for name in names if _is_xml_name(name))

    def read(self, size: int = -1) -> bytes:
        """Return the next bytes, as files do."""
        end = len(self._data) if size < 0 else min(self._at + size, len(self._data))
        piece = self._data[self._at : end]
        inside = [place - self._at for place in self._changes if self._at <= place < end]
        if inside:
            changed = bytearray(piece)
            for place in inside:
                changed[place] = ord("_")
            piece = bytes(changed)
        self._at = end
        return piece

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
        self._at = 0
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


def _is_xml_name(name: str) -> bool:
    try:
        etree.QName(name)
    except ValueError:
        return False
    return ":" not in name
