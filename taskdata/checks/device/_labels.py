"""Bytes of the labels of a device."""

from __future__ import annotations

import re

from taskdata.isoxml.tree.element import Element


def label_octets(element: Element, name: str) -> bytes:
    """Return the bytes of a label of a device (DVC) as written, empty where it is absent or not hexadecimal."""
    text = (element.get(name) or "").strip()
    return bytes.fromhex(text) if re.fullmatch(r"([0-9A-Fa-f]{2})+", text) else b""
