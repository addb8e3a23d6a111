"""Keep files that nothing refers to out of the set.

Why it needs a look: one may hold a log or fields whose element got lost. None is deleted: they are put into a folder
beside the target. A file that holds what a reference or link leads to stays in the set.
"""

from __future__ import annotations

from taskdata.checks.file.unused import check
from taskdata.phrases import phrase
from taskdata.repairs.reference._whereabouts import Whereabouts
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import ASIDE, Standing

RULES = ("file.unused",)
STANDING = Standing.REVIEW
NEEDS = ("attachment", "file.name-in-other-case", "geometry", "identity", "linklist", "reference", "timelog")


def repair(work: RepairWork) -> None:
    """Take each such file out of the set."""
    found = work.audit(check)
    held = _held(work) if found else set()
    for finding in found:
        name = finding.place.file
        if name is not None and name.upper() in held:
            continue
        if name is not None and work.document.others.pop(name.upper(), None) is not None:
            work.note_file(RULES[0], name, name, ASIDE, phrase("nothing in the set refers to it"))


def _held(work: RepairWork) -> set[str]:
    """Return the names, in capitals, of files that hold or may hold what leads nowhere."""
    linked = work.document.link_list
    links = () if linked is None else (item.get("ObjectIdRef") for item in linked.root.walk() if item.tag == "LNK")
    named = {target for element in work.document.walk() for _, target in element.references()} | set(links)
    lost = named - work.document.by_id.keys() - {None}
    if not lost:
        return set()
    elsewhere = Whereabouts(work.document)
    held = {item.file.name.upper() for item in elsewhere.unnamed if lost & item.ids}
    return held | set(elsewhere.unreadable)
