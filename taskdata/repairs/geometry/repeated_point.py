"""Leave out points that repeat the one before them at the very same place.

Why it is safe: the outline stays to the last digit.
"""

from __future__ import annotations

from taskdata.amounts import counted
from taskdata.phrases import phrase
from taskdata.repairs.geometry.strings import keep
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.repeated-point",)
STANDING = Standing.SAFE
NEEDS = ("schema", "reference.unnamed_file")


def repair(work: RepairWork) -> None:
    """Thin each ring and line in which a point follows itself; a line keeps at least two points."""
    strings = work.strings
    for number in strings.with_any(strings.repeats):
        string, kept = strings.found[number], ~strings.repeats[strings.rows(number)]
        if len(kept) < 3 or not strings.in_xml[number] or kept.sum() < 2:
            continue
        keep(string, kept)
        before, after = counted(len(kept), "point"), counted(int(kept.sum()), "point")
        work.note(RULES[0], string, before, after, phrase("the same position twice in a row carries no information"))
