"""Write XML files without a byte order mark.

Why it is safe: the mark is no content; the file is UTF-8 with or without it.
"""

from __future__ import annotations

from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("file.byte-order-mark",)
STANDING = Standing.SAFE


def repair(work: RepairWork) -> None:
    """Drop the mark of each file that has one."""
    for file in work.document.xml_files:
        if file.mark:
            file.mark = False
            work.note_file(RULES[0], file.name, phrase("byte order mark"), None, phrase("some readers fail on it"))
