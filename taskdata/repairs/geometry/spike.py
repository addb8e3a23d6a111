"""Leave out the point to which a ring runs out and back.

Why it needs a look: a field may really end in such a wedge.
"""

from __future__ import annotations

import numpy as np

from taskdata.checks._ground import steps
from taskdata.checks.geometry.spike import ONE_CORNER_M, check
from taskdata.findings import Finding
from taskdata.isoxml.element import Element
from taskdata.repairs.geometry.strings import is_ring, keep_ring, strings_below
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("geometry.spike",)
STANDING = Standing.REVIEW
ORDER = 56


def repair(work: Work) -> None:
    """Drop the tip of each spike that the audit names, where a sound ring is left."""
    for element, finding in work.found(check):
        for string in strings_below(element):
            if is_ring(string) and _cut(work, string, finding):
                break


def _cut(work: Work, string: Element, finding: Finding) -> bool:
    points, tip = string.coordinates(), np.array(finding.place.location)
    if not (points == tip).all(axis=1).any():
        return False
    near = np.hypot(*steps(points, np.broadcast_to(tip, points.shape)).T) < ONE_CORNER_M
    if not keep_ring(string, ~near):
        return False
    reason = f"the ring ran {finding.facts['size']} m out and back at {tip[1]:.7f}, {tip[0]:.7f}"
    work.note(RULES[0], string, len(points), len(string.coordinates()), reason)
    return True
