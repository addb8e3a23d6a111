"""Correct the declaration of a file that is UTF-8 and says something else, and read its letters as UTF-8.

Why it needs a look: the bytes fit both encodings. Almost surely UTF-8 was meant; look at names with unusual letters.
"""

from __future__ import annotations

from taskdata.isoxml.tree.mojibake import find_mojibake, reread
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("file.misread-letters",)
STANDING = Standing.REVIEW


def repair(work: RepairWork) -> None:
    """Read each such file as UTF-8."""
    for file in work.document.xml_files:
        texts = find_mojibake(file)
        if texts is None:
            continue
        read, meant = texts
        before = file.encoding
        reread(file)
        reason = phrase(
            "its bytes are UTF-8: what reads {read!r} is {meant!r}; look at names with unusual letters",
            read=read,
            meant=meant,
        )
        work.note_file(RULES[0], file.name, before, file.encoding, reason)
        work.touch()
