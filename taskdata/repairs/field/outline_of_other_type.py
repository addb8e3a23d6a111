"""Make the boundary of a field of the polygon or closed line that encloses the area which is stated for it.

Why it needs a look: that it is the outline is a conclusion from its size. What it was called before is lost.
"""

from __future__ import annotations

from taskdata.checks.field.outline_of_other_type import check
from taskdata.isoxml.tree.document import LINE_STRING
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.implied import BOUNDARY, EXTERIOR, POLYGON
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("field.outline-of-other-type",)
STANDING = Standing.REVIEW
NEEDS = ("schema", "reference.unnamed_file")


def repair(work: RepairWork) -> None:
    """Give each such outline the type of a boundary."""
    for element, finding in work.found(check):
        reason = phrase(
            "it encloses {found} m², and {stated} m² is stated for the field",
            found=finding.facts["found"],
            stated=finding.facts["stated"],
        )
        if element.tag == POLYGON:
            work.note(RULES[0], element, element.get("PolygonType"), BOUNDARY, reason)
            element.set("PolygonType", BOUNDARY)
        elif element.tag == LINE_STRING and element.parent is not None:
            work.note(RULES[0], element, element.get("LineStringType"), BOUNDARY, reason)
            _wrap(element, element.parent)
            work.touch()


def _wrap(line: Element, field: Element) -> None:
    """Put a line into a polygon as its outer ring."""
    polygon = Element(POLYGON, file=line.file, line=line.line)
    polygon.set("PolygonType", BOUNDARY)
    polygon.set("PolygonDesignator", line.get("LineStringDesignator"))
    field.children[field.children.index(line)] = polygon
    polygon.parent = field
    line.attributes.clear()
    line.set("LineStringType", EXTERIOR)
    polygon.append(line)
