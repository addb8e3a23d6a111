"""Give an attached file of the name LINKLIST.XML the type of the link list.

Why it is safe: no other file may have that name (ISO 11783-10, E.2). A file of another name that has the type of the
link list is left: which type it has cannot be told.
"""

from __future__ import annotations

from taskdata.checks.attachment.wrong_link_list import TYPE, check
from taskdata.isoxml.tree.filenames import is_link_list
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("attachment.wrong-link-list",)
STANDING = Standing.SAFE
ORDER = 41


def repair(work: RepairWork) -> None:
    """Correct the type of each such file."""
    for element, _ in work.found(check):
        if is_link_list(element):
            work.note(RULES[0], element, element.get("FileType"), str(TYPE), "this is the type of the link list")
            element.set("FileType", str(TYPE))
