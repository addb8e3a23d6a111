"""State the area that the rings of a field or polygon enclose.

Why it needs a look: the stated area may be an official one that the boundary only comes near. It is left where the
boundary holds points that are no corners of it.
"""

from __future__ import annotations

from typing import cast

from taskdata.checks.field.wrong_area import check
from taskdata.checks.geometry import at_zero, stray_point
from taskdata.checks.registry import Check
from taskdata.isoxml.element import Element
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("field.wrong-area",)
STANDING = Standing.REVIEW
ORDER = 60

_NAMES = {"PFD": "PartfieldArea", "PLN": "PolygonArea"}


def repair(work: Work) -> None:
    """Correct each area that the audit names."""
    wrong = work.found(check)
    doubted = _doubted(work) if wrong else set()
    for element, finding in wrong:
        name, area = _NAMES.get(element.tag), finding.facts["found"]
        if name is not None and doubted.isdisjoint(element.walk()):
            work.note(RULES[0], element, element.get(name), area, "the rings enclose this area on the ellipsoid")
            element.set(name, str(area))


def _doubted(work: Work) -> set[Element]:
    """Return the rings, or what holds them, with points at 0/0 or far from all others."""
    checks = (at_zero.check, stray_point.check)
    return {element for check_of in checks for element, _ in work.found(cast(Check, check_of))}
