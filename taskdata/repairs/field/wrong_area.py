"""State the area that the rings of a field or polygon enclose.

Why it needs a look: the stated area may be an official one that the boundary only comes near. An area that is so far
off that the audit warns is evidence about the outline, and stays; so does one where the boundary holds points that are
no corners of it.
"""

from __future__ import annotations

from taskdata.checks.field.wrong_area import check
from taskdata.findings import Severity
from taskdata.phrases import phrase
from taskdata.repairs.geometry.stated import doubted
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("field.wrong-area",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.sliver",)

_NAMES = {"PFD": "PartfieldArea", "PLN": "PolygonArea"}


def repair(work: RepairWork) -> None:
    """Correct each area that the audit names."""
    wrong = work.found(check)
    odd = doubted(work) if wrong else set()
    for element, finding in wrong:
        name, area = _NAMES.get(element.tag), finding.facts["found"]
        is_evidence = finding.severity is not Severity.NOTE
        if name is not None and not is_evidence and odd.isdisjoint(element.walk()):
            work.note(
                RULES[0], element, element.get(name), area, phrase("the rings enclose this area on the ellipsoid")
            )
            element.set(name, str(area))
