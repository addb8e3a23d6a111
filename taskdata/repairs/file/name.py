"""Name files in capitals, as the set names them.

Why it is safe: names are matched in any case when reading; only a strict receiver tells them apart.
"""

from __future__ import annotations

from dataclasses import replace

from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("file.name-in-other-case",)
STANDING = Standing.SAFE

_REASON = phrase("file names are case-sensitive and in capitals")


def repair(work: RepairWork) -> None:
    """Rename each file whose name is not in capitals, unless another has that name already."""
    taken = {file.name for file in work.document.xml_files} | {blob.name for blob in work.document.others.values()}
    for file in work.document.xml_files:
        name = file.name.upper()
        if file.name != name and name not in taken:
            work.note_file(RULES[0], file.name, file.name, name, _REASON)
            for element in file.root.walk():
                element.file = name
            file.name = name
    for key, blob in list(work.document.others.items()):
        name = blob.name.upper()
        if blob.name != name and name not in taken:
            work.note_file(RULES[0], blob.name, blob.name, name, _REASON)
            del work.document.others[key]
            work.document.others[name] = replace(blob, name=name)
