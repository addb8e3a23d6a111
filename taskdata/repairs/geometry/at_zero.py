"""Leave out points at 0 degrees north, 0 degrees east.

Why it needs a look: such a point is a position that was missing, but the outline changes where it stood. Where the
field would differ by more than a quarter from the area that it states, a corner is missing: the ring is left.
"""

from __future__ import annotations

import numpy as np

from taskdata.amounts import counted
from taskdata.checks.geometry.at_zero import is_zero
from taskdata.isoxml.tree.element import POINT
from taskdata.phrases import phrase
from taskdata.repairs.geometry.stated import contradicts
from taskdata.repairs.geometry.strings import keep
from taskdata.repairs.repair_work import RepairWork, remove
from taskdata.results.cleaning import Standing

RULES = ("geometry.at-zero",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.repeated-point", "geometry.lost-sign")

LEAST_OF_RING, LEAST_OF_LINE = 3, 2


def repair(work: RepairWork) -> None:
    """Drop such points where a ring keeps three places and a line two, and single points that stand there."""
    strings = work.strings
    at_zero = is_zero(strings.flat)
    for number in strings.with_any(at_zero):
        string, points, zero = strings.found[number], strings.points(number), at_zero[strings.rows(number)]
        if not strings.in_xml[number]:
            continue
        least = LEAST_OF_RING if string.parent is not None and string.parent.tag == "PLN" else LEAST_OF_LINE
        enough = len(np.unique(points[~zero], axis=0)) >= least
        if enough and not contradicts(string, [points[~zero]]):
            keep(string, ~zero)
            before, after = counted(len(points), "point"), counted(int((~zero).sum()), "point")
            work.note(RULES[0], string, before, after, phrase("0/0 means that the position was missing"))
    for point in work.tagged(POINT):
        if point.parent is not None and point.parent.tag == "PFD" and is_zero(point.own_coordinates()).any():
            work.note(
                RULES[0], point, point.get("PointDesignator"), None, phrase("0/0 means that the position was missing")
            )
            remove(point)
            work.moved_in(point.parent)
