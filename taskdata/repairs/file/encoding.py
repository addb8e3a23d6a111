"""Write XML files as UTF-8 with a declaration that says so.

Why it is safe: the text was read by the encoding that the file declares; only its bytes change. A file whose letters
are UTF-8 under another declaration is left as it is: there the declaration itself is in doubt.
"""

from __future__ import annotations

from taskdata.isoxml.tree.document import XmlFile
from taskdata.isoxml.tree.mojibake import find_mojibake
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("file.other-encoding", "file.no-declaration")
STANDING = Standing.SAFE

_UTF8 = "UTF-8"
_ENOUGH = {"UTF-8", "UTF8"}


def repair(work: RepairWork) -> None:
    """Declare UTF-8 in each file that was not read by a guess."""
    for file in work.document.xml_files:
        if file.guessed is not None or (file.declared and (file.encoding or "").upper() in _ENOUGH):
            continue
        if find_mojibake(file) is not None:
            continue
        stated = file.encoding is not None and file.declared
        rule = RULES[0] if stated else RULES[1]
        before = file.encoding if stated else None
        _declare(file)
        work.note_file(rule, file.name, before, _UTF8, phrase("task data is encoded in UTF-8 and says so"))


def _declare(file: XmlFile) -> None:
    file.declared = True
    file.encoding = _UTF8
