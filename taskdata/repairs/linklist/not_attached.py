"""Attach the link list that lies in the set.

Why it is safe: the file is there and has the one name a link list can have; only its announcement was missing.
"""

from __future__ import annotations

from taskdata.checks.linklist.not_attached import check
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import LINK_LIST, is_link_list
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("linklist.not-attached",)
STANDING = Standing.SAFE
NEEDS = ("file.name-in-other-case",)

LINK_LIST_TYPE, PRESERVED = "1", "2"


def repair(work: RepairWork) -> None:
    """Correct the type of the attached file that names the link list, or add one."""
    if not work.audit(check):
        return
    for element in work.tagged("AFE"):
        if is_link_list(element):
            reason = phrase("this is the type of the link list")
            work.note(RULES[0], element, element.get("FileType"), LINK_LIST_TYPE, reason)
            element.set("FileType", LINK_LIST_TYPE)
            return
    attached = Element("AFE", file=work.document.main.name)
    attached.set("FilenameWithExtension", LINK_LIST)
    attached.set("Preserve", PRESERVED)
    attached.set("ManufacturerGLN", "")
    attached.set("FileType", LINK_LIST_TYPE)
    work.document.root.append(attached)
    work.touch()
    work.note(RULES[0], attached, None, LINK_LIST, phrase("a receiver finds the link list through the attached files"))
