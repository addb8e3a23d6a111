"""Give the polygons of treatment zones the type of treatment zones.

Why it is safe: by where it stands, the polygon is that of a zone (ISO 11783-10, D.50); its outline stays.
"""

from __future__ import annotations

from taskdata.checks.zone.wrong_polygon_type import check
from taskdata.repairs.journal import Standing
from taskdata.repairs.repair_work import RepairWork

RULES = ("zone.wrong-polygon-type",)
STANDING = Standing.SAFE
ORDER = 54


def repair(work: RepairWork) -> None:
    """Correct each such type."""
    for element, finding in work.found(check):
        wanted = str(finding.facts["wanted"])
        work.note(RULES[0], element, element.get("PolygonType"), wanted, "the polygon is that of a treatment zone")
        element.set("PolygonType", wanted)
