"""Types of polygons, line strings and grids that are not stated and that the rest of the set decides."""

from __future__ import annotations

from taskdata.isoxml.tree.document import LINE_STRING, Document
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.isoxml.tree.filenames import file_name

FIELD, ZONE, POLYGON, PATTERN, GRID = "PFD", "TZN", "PLN", "GPN", "GRD"
TYPES = {POLYGON: "PolygonType", LINE_STRING: "LineStringType", GRID: "GridType"}
"""The attribute that states the type, by tag."""

BOUNDARY, TREATMENT_ZONE = "1", "2"
EXTERIOR, GUIDANCE = "1", "5"
CODES, SETPOINTS = "1", "2"
_SETPOINT_OCTETS = 4
_LEAST_POINTS = 3


def implied_type(document: Document, element: Element) -> str | None:
    """Return the type of an element (PLN, LSG, GRD) that states none, where it can be one only.

    A polygon of a zone is that of a zone; one with a single outer ring that is alone in its field is the boundary. A
    line string that is alone in a polygon is its outer ring, in a guidance pattern its line. A grid has codes where its
    file holds one byte a cell and no template zone is named; it has setpoints where its file holds four bytes for
    each cell and setpoint of the template zone.
    """
    name = TYPES.get(element.tag)
    parent = element.parent
    if name is None or parent is None or element.get(name) is not None:
        return None
    if element.tag == POLYGON:
        return _of_polygon(element, parent)
    if element.tag == GRID:
        return _of_grid(document, element, parent)
    alone = len(list(parent.elements(LINE_STRING))) == 1
    return {POLYGON: EXTERIOR, PATTERN: GUIDANCE}.get(parent.tag) if alone else None


def is_ring_of_points(element: Element) -> bool:
    """Tell whether a polygon has its points directly in it: they are its outer ring."""
    lines = next(element.elements(LINE_STRING), None)
    named = any(point.get("Filename") is not None for point in element.elements(POINT))
    return element.tag == POLYGON and lines is None and not named and element.point_count() >= _LEAST_POINTS


def _of_polygon(element: Element, parent: Element) -> str | None:
    if parent.tag == ZONE:
        return TREATMENT_ZONE
    lines = list(element.elements(LINE_STRING))
    outer = [line for line in lines if line.get("LineStringType") == EXTERIOR]
    one = len(outer) == 1 or (not outer and len(lines) == 1 and lines[0].get("LineStringType") is None)
    alone = len(list(parent.elements(POLYGON))) == 1
    return BOUNDARY if parent.tag == FIELD and alone and (one or is_ring_of_points(element)) else None


def _of_grid(document: Document, element: Element, parent: Element) -> str | None:
    blob = document.binary(file_name(element) or "")
    size = [element.get(name) or "" for name in ("GridMaximumColumn", "GridMaximumRow")]
    if blob is None or not all(text.isascii() and text.isdigit() and len(text) < 10 for text in size):
        return None
    cells, code = int(size[0]) * int(size[1]), element.get("TreatmentZoneCode")
    if code is None:
        return CODES if blob.size == cells else None
    zone = next((item for item in parent.elements(ZONE) if item.get("TreatmentZoneCode") == code), None)
    setpoints = 0 if zone is None else len(list(zone.elements("PDV")))
    return SETPOINTS if setpoints and blob.size == _SETPOINT_OCTETS * cells * setpoints else None
