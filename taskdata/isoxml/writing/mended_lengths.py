"""The lengths that attached files state of the XML files of a set, brought into step with what is written."""

from __future__ import annotations

from collections.abc import Collection

from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.stated_lengths import missing_bytes
from taskdata.isoxml.writing.write import xml_text
from taskdata.ledger import Loss, LossKind
from taskdata.phrases import phrase


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
            told = phrase(
                "stated length of {name} {stated} becomes {size}", name=file.name, stated=stated, size=size + missing
            )
            losses.append(Loss(LossKind.CHANGED, element.nearest_id(), told, phrase("the file is written again")))
        sizes[file.name] = size
    for file in document.xml_files:
        file.size = sizes.get(file.name, file.size)
    return losses
