"""The stated length of an XML file of the set, which follows from how the file is written."""

from __future__ import annotations

from collections.abc import Collection

from taskdata.isoxml.document import Document
from taskdata.isoxml.write import xml_text
from taskdata.ledger import Loss, LossKind


def mend_lengths(document: Document, kept: Collection[str] = ()) -> list[Loss]:
    """Correct in place what attached files (AFE) say about the length of XML files; return what changed.

    Every other file is written with the bytes that were read, so that what is said about it stays; so are the XML files
    whose names, in capitals, are among ``kept``.
    """
    written = {file.name.upper(): file for file in document.xml_files}
    losses = []
    for element in document.by_tag.get("AFE", ()):
        file = written.get((element.get("FilenameWithExtension") or "").upper())
        stated = element.get("FileLength")
        if file is None or not stated or file is document.main or file.name.upper() in kept:
            continue
        size = str(sum(len(piece.encode()) for piece in xml_text(file)))
        if stated != size:
            element.set("FileLength", size)
            told = f"stated length of {file.name} {stated} becomes {size}"
            losses.append(Loss(LossKind.CHANGED, element.nearest_id(), told, "the file is written anew"))
    return losses
