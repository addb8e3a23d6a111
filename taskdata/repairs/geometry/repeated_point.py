"""Leave out points that repeat the one before them at the very same place.

Why it is safe: the outline stays to the last digit.
"""

from __future__ import annotations

import numpy as np

from taskdata.amounts import counted
from taskdata.repairs.geometry.strings import in_xml, keep
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.repeated-point",)
STANDING = Standing.SAFE
NEEDS = ("schema", "reference.unnamed_file")


def repair(work: RepairWork) -> None:
    """Thin each ring and line in which a point follows itself; a line keeps at least two points."""
    for string in work.tagged("LSG"):
        points = string.coordinates()
        if len(points) < 3 or not in_xml(string):
            continue
        kept = np.concatenate([[True], (np.diff(points, axis=0) != 0.0).any(axis=1)])
        if kept.all() or kept.sum() < 2:
            continue
        keep(string, kept)
        before, after = counted(len(points), "point"), counted(int(kept.sum()), "point")
        work.note(RULES[0], string, before, after, "the same position twice in a row carries no information")
