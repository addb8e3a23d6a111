"""Stated lengths of files: what a set says of the size of its files, and how that follows a file that is changed.

A file that is shorter than stated has lost its end. What was stated is the evidence of it and is never brought down to
the file; where the file is changed, as much is missing afterwards as before.
"""

from __future__ import annotations

from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import BINARY

LENGTHS = dict.fromkeys(BINARY, "Filelength") | {"AFE": "FileLength"}
"""Where an element states the length of its file, by tag."""


def stated_length(element: Element) -> int | None:
    """Return the length in bytes that ``element`` states for its file, None where it states none or no number."""
    name = LENGTHS.get(element.tag)
    text = ((element.get(name) if name else None) or "").strip()
    return int(text) if text.isascii() and text.isdigit() else None


def missing_bytes(element: Element, size: int) -> int:
    """Return how many bytes a file of ``size`` bytes lacks of the length that ``element`` states for it."""
    return max(0, (stated_length(element) or 0) - size)


def follow_length(element: Element, before: int, after: int) -> None:
    """State the length of a file that was changed from ``before`` to ``after`` bytes; what was missing stays missing.

    Nothing is stated where nothing was.
    """
    if stated_length(element) is not None:
        element.set(LENGTHS[element.tag], str(after + missing_bytes(element, before)))
