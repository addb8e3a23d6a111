"""Stated lengths of files: what a set says of the size of its files, and how that follows a file that is changed.

A file that is shorter than stated has lost its end. What was stated is the evidence of it and is never brought down to
the file; where the file is changed, as much is missing afterwards as before.
"""

from __future__ import annotations

from collections.abc import Collection

from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import BINARY
from taskdata.isoxml.writing.write import xml_text
from taskdata.ledger import Loss, LossKind

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


def mend_lengths(document: Document, kept: Collection[str] = ()) -> list[Loss]:
    """Correct in place what attached files (AFE) say about the length of XML files; return what changed.

    Every other file is written with the bytes that were read, so that what is said about it stays; so are the XML files
    whose names, in capitals, are among ``kept``. What a file lacked of its stated length when it was read
    stays missing; its size is from then on that of what is written, so that a second call changes nothing.
    """
    written = {file.name.upper(): file for file in document.xml_files}
    losses, sizes = [], {}
    for element in document.by_tag.get("AFE", ()):
        file = written.get((element.get("FilenameWithExtension") or "").upper())
        stated = element.get("FileLength")
        if file is None or not stated or file is document.main or file.name.upper() in kept:
            continue
        size = sum(len(piece.encode()) for piece in xml_text(file))
        missing = 0 if file.size is None else missing_bytes(element, file.size)
        if stated != str(size + missing):
            element.set("FileLength", str(size + missing))
            told = f"stated length of {file.name} {stated} becomes {size + missing}"
            losses.append(Loss(LossKind.CHANGED, element.nearest_id(), told, "the file is written again"))
        sizes[file.name] = size
    for file in document.xml_files:
        file.size = sizes.get(file.name, file.size)
    return losses
