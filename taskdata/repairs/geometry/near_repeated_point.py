"""Leave out points that lie closer to the one before them than a receiver is good for.

Why it needs a look: the outline moves, though only by about the smallest step that the audit lets pass (2 cm).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.amounts import counted
from taskdata.checks.geometry.near_repeated_point import DISTANCE, check
from taskdata.geometry.metres import steps
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.all_strings import is_ring
from taskdata.repairs.geometry.strings import keep, keep_ring, strings_below
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("geometry.near-repeated-point",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.spike",)

SLACK = 1.0 + 1e-6
"""Keeps a step that is as long as the limit from being judged otherwise after its ends have changed."""


def repair(work: RepairWork) -> None:
    """Thin each ring and line that the audit names; first and last point stay."""
    strings = {id(string): string for element, _ in work.found(check) for string in strings_below(element)}
    for string in strings.values():
        _thin(work, string)


def _thin(work: RepairWork, string: Element) -> None:
    points = string.coordinates()
    kept = apart(points, float(DISTANCE.default) * SLACK) | (string.point_numbers("PointType") != _common_type(string))
    if kept.all():
        return
    if is_ring(string):
        if not keep_ring(string, kept):
            return
    else:
        keep(string, kept)
    reason = phrase("steps of less than {default} m say nothing", default=DISTANCE.default)
    work.note(RULES[0], string, counted(len(points), "point"), counted(len(string.coordinates()), "point"), reason)


def apart(points: NDArray[np.float64], least_m: float) -> NDArray[np.bool_]:
    """Tell which of (n, 2) points to keep so that each lies ``least_m`` from the one before, ends always kept."""
    metres = np.concatenate([np.zeros((1, 2)), np.cumsum(steps(points[:-1], points[1:]), axis=0)])
    stay = [0]
    for at in range(1, len(points) - 1):
        if np.hypot(*(metres[at] - metres[stay[-1]])) >= least_m:
            stay.append(at)
    while len(stay) > 1 and np.hypot(*(metres[-1] - metres[stay[-1]])) < least_m:
        stay.pop()
    kept = np.zeros(len(points), dtype=np.bool_)
    kept[[*stay, -1]] = True
    return kept


def _common_type(string: Element) -> float:
    """Return the type that most points of a line have; the others mark a place."""
    values, counts = np.unique(string.point_numbers("PointType"), return_counts=True)
    return float(values[counts.argmax()])
