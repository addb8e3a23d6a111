"""State the lengths that the files have.

Why it is safe: the length follows from the file. It hides nothing else: a file that is cut off is found by its records.
"""

from __future__ import annotations

from taskdata.isoxml.filenames import BINARY, file_names
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("file.wrong-length",)
STANDING = Standing.SAFE
ORDER = 75

_STATED = dict.fromkeys(BINARY, "Filelength") | {"AFE": "FileLength"}
"""Where an element states the length of its file, by tag."""


def repair(work: Work) -> None:
    """Correct each stated length of a file that is there."""
    blobs = {file.name.upper(): file.blob for file in work.document.xml_files} | work.document.others
    for tag, length in _STATED.items():
        for element in work.tagged(tag):
            stated, names = element.get(length), file_names(element)
            blob = blobs.get(names[-1].upper()) if names else None
            if stated is not None and blob is not None and stated != str(blob.size):
                element.set(length, str(blob.size))
                work.note(RULES[0], element, stated, str(blob.size), "the file has this many bytes")
