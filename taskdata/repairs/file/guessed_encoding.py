"""Accept the letters that were guessed where a file is not UTF-8.

Why it needs a look: the bytes do not say which letters were meant. Names with unusual letters may be wrong.
"""

from __future__ import annotations

from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("file.not-utf-8",)
STANDING = Standing.REVIEW


def repair(work: RepairWork) -> None:
    """Take the guess as the text of each such file."""
    for file in work.document.xml_files:
        if file.guessed is not None:
            reason = phrase(
                "read as {guessed}, which is a guess: check names with unusual letters", guessed=file.guessed
            )
            work.note_file(RULES[0], file.name, file.guessed, "UTF-8", reason)
            file.guessed, file.encoding, file.declared = None, "UTF-8", True
