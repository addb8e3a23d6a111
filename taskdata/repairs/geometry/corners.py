"""Corners of rings that are left out where a sound ring is left."""

from __future__ import annotations

import numpy as np

from taskdata.amounts import counted
from taskdata.findings import Finding
from taskdata.geometry.metres import steps
from taskdata.isoxml.tree.element import Element
from taskdata.repairs.all_strings import is_ring
from taskdata.repairs.geometry.stated import contradicts
from taskdata.repairs.geometry.strings import keep_ring, strings_below
from taskdata.repairs.repair_work import RepairWork


def cut_corner(work: RepairWork, rule: str, found: tuple[Element, Finding], within_m: float, reason: str) -> None:
    """Leave out the point of a ring at which something was found, and those within so many metres of it.

    A ring is left where its field would differ by more than a quarter from the area that it states. Where several rings
    of an element have that point it is not known which is meant, and all are left.
    """
    element, finding = found
    if finding.place.location is None:
        return
    corner = np.array(finding.place.location)
    rings = [item for item in strings_below(element) if is_ring(item)]
    having = [ring for ring in rings if (ring.coordinates() == corner).all(axis=1).any()]
    if len(having) != 1:
        return
    (string,), points = having, having[0].coordinates()
    near = np.hypot(*steps(points, np.broadcast_to(corner, points.shape)).T) < within_m
    if not contradicts(string, [points[~near]]) and keep_ring(string, ~near):
        work.note(rule, string, counted(len(points), "point"), counted(len(string.coordinates()), "point"), reason)
