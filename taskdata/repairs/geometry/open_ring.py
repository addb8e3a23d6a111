"""Close rings by repeating their first point, as version 4 wants them.

Why it is safe: before version 4 the last point is joined to the first anyway; the outline stays.
"""

from __future__ import annotations

from taskdata.amounts import counted
from taskdata.geometry.metres import on_earth, steps
from taskdata.phrases import phrase
from taskdata.repairs.all_strings import AllStrings
from taskdata.repairs.geometry.strings import close
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
    strings = work.strings
    for number in _open(strings):
        string, count = strings.found[number], int(strings.sizes[number])
        close(string)
        before, after = counted(count, "point"), counted(count + 1, "point")
        work.note(RULES[0], string, before, after, phrase("a ring must end where it begins"))


def _open(strings: AllStrings) -> list[int]:
    """Return the numbers of the rings that do not end where they begin."""
    rings = strings.rings[strings.sizes[strings.rings] > 2]
    first = strings.flat[strings.starts[rings]]
    last = strings.flat[strings.starts[rings] + strings.sizes[rings] - 1]
    apart = on_earth(first) & on_earth(last) & (steps(first, last) != 0.0).any(axis=1)
    return [int(number) for number in rings[apart]]
