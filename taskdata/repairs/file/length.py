"""State the lengths that the files have.

Why it is safe: the length follows from the file. It hides nothing else: a file that is cut off is found by its records.
"""

from __future__ import annotations

from taskdata.isoxml.element import Element
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("file.wrong-length",)
STANDING = Standing.SAFE
ORDER = 75

_NAMED = {
    "TLG": ("Filename", "Filelength", ".BIN"),
    "GRD": ("Filename", "Filelength", ".BIN"),
    "PNT": ("Filename", "Filelength", ".BIN"),
    "AFE": ("FilenameWithExtension", "FileLength", ""),
}


def repair(work: Work) -> None:
    """Correct each stated length of a file that is there."""
    for tag, (name, length, suffix) in _NAMED.items():
        for element in work.tagged(tag):
            stated = element.get(length)
            size = _size(work, element, name, suffix)
            if stated is not None and size is not None and stated != str(size):
                element.set(length, str(size))
                work.note(RULES[0], element, stated, str(size), "the file has this many bytes")


def _size(work: Work, element: Element, name: str, suffix: str) -> int | None:
    """Size of the file that an element names as it was read, None where it is missing."""
    named = f"{element.get(name) or ''}{suffix}".upper()
    blobs = {file.name.upper(): file.blob for file in work.document.xml_files} | work.document.others
    blob = blobs.get(named)
    return None if blob is None else blob.size
