"""Which files the elements of a set name, and how: most by the base name alone, attached files by the whole name."""

from __future__ import annotations

import re

from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.notation import base_name
from taskdata.phrases import phrase

LINK_LIST = "LINKLIST.XML"

NAMED_LIKE_A_SET = re.compile(r"[A-Z]{3}[0-9]{5}\.(XML|BIN)", re.IGNORECASE)
"""Names of external files, logs, grids and points: three letters and five digits."""

BINARY = ("TLG", "GRD", "PNT")
"""Elements whose ``Filename`` is the base name of a binary file."""

FILE_SUFFIXES = {"XFR": (".XML",), "TLG": (".XML", ".BIN"), "GRD": (".BIN",), "PNT": (".BIN",), "AFE": ("",)}
"""What follows the name that an element states in the names of its files, by tag; the file with the content last."""

FILE_KINDS = {
    "XFR": phrase("external file"),
    "TLG": phrase("log"),
    "GRD": phrase("grid"),
    "PNT": phrase("point file"),
    "AFE": phrase("attached file"),
}
"""What the file that an element names is called, by tag."""

FILE_ROLES = {
    "main": phrase("main file"),
    "external": phrase("external file"),
    "header": phrase("header of a log"),
    "linklist": phrase("link list"),
}
"""What an XML file is called, by its role."""

_ATTRIBUTES = {"AFE": "FilenameWithExtension"}


def file_name(element: Element) -> str | None:
    """Return the name that ``element`` (XFR, TLG, GRD, PNT, AFE) states, None where it states none.

    An extension is left out where the standard has the name without one.
    """
    name = element.get(_ATTRIBUTES.get(element.tag, "Filename"))
    return name if name is None or element.tag in _ATTRIBUTES else base_name(name)


def file_names(element: Element) -> tuple[str, ...]:
    """Return the whole names of the files that an element names, as written; none of other elements."""
    suffixes = FILE_SUFFIXES.get(element.tag, ())
    name = file_name(element) if suffixes else None
    return tuple(name + suffix for suffix in suffixes) if name else ()


def is_link_list(element: Element) -> bool:
    """Tell whether an element says of the link list that it is attached."""
    return element.tag == "AFE" and (file_name(element) or "").upper() == LINK_LIST
