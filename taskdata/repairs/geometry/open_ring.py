"""Close rings by repeating their first point, as version 4 wants them.

Why it is safe: before version 4 the last point is joined to the first anyway; the outline stays.
"""

from __future__ import annotations

from taskdata.amounts import counted
from taskdata.geometry.metres import on_earth, steps
from taskdata.repairs.geometry.strings import close, rings
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing
from taskdata.versions import has

RULES = ("geometry.open-ring",)
STANDING = Standing.SAFE
NEEDS = ("geometry.at-zero",)


def repair(work: RepairWork) -> None:
    """Close each open ring of a set whose version wants closed ones."""
    if not has("closed rings", work.major):
        return
    for string in rings(work):
        points = string.coordinates()
        ends = points[[0, -1]]
        if len(points) > 2 and on_earth(ends).all() and steps(ends[:1], ends[1:]).any():
            close(string)
            before, after = counted(len(points), "point"), counted(len(points) + 1, "point")
            work.note(RULES[0], string, before, after, "a ring must end where it begins")
