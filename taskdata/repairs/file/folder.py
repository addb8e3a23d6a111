"""Name the folder of the set in capitals.

Why it is safe: only a strict terminal tells the spellings apart; what is in the folder stays.
"""

from __future__ import annotations

from taskdata.checks.file.folder_in_other_case import check
from taskdata.isoxml.files.folders import FOLDER
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("file.folder-in-other-case",)
STANDING = Standing.SAFE


def repair(work: RepairWork) -> None:
    """Call the folder what terminals look for."""
    for finding in work.audit(check):
        work.document.folder = FOLDER
        work.note_file(
            RULES[0], None, finding.facts["found"], FOLDER, phrase("terminals look for a folder of this name")
        )
