"""Write XML files without zeros behind their end, and with ``&amp;`` where a bare ``&`` stands.

Why it is safe: the file is read as the only thing that it can mean, and written so; no text changes.
"""

from __future__ import annotations

from taskdata.phrases import phrase
from taskdata.raised_rules.file.bare_ampersand import RULE as BARE_AMPERSAND
from taskdata.raised_rules.file.zeros_behind_end import RULE as ZEROS_BEHIND_END
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = (ZEROS_BEHIND_END.id, BARE_AMPERSAND.id)
STANDING = Standing.SAFE

_WORDS = {
    ZEROS_BEHIND_END.id: (phrase("zeros after its end"), None, phrase("XML does not allow zero bytes")),
    BARE_AMPERSAND.id: ("&", "&amp;", phrase("XML requires it")),
}


def repair(work: RepairWork) -> None:
    """Take each file as mended as it was read."""
    for file in work.document.xml_files:
        for rule in file.mended:
            before, after, reason = _WORDS[rule]
            work.note_file(rule, file.name, before, after, reason)
        file.mended = ()
