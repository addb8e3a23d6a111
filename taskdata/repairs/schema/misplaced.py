"""Put guidance patterns into a group, points of a polygon into its outer ring, and external elements under their root.

Why it is safe: each of them can belong to one thing only, and is read so. Each pattern gets a group of its own, as
nothing says which are used together. A polygon that has rings as well is left.
"""

from __future__ import annotations

from taskdata.isoxml.facts import EXTERNAL_ROOT, ROOT, elements
from taskdata.isoxml.tree.document import LINE_STRING
from taskdata.isoxml.tree.element import POINT, Element, PointRun
from taskdata.isoxml.tree.implied import EXTERIOR, FIELD, PATTERN, POLYGON, is_ring_of_points
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("schema.misplaced-element",)
STANDING = Standing.SAFE
NEEDS = ("schema.other-notation", "schema.empty_attribute")

_GROUP = "GGP"


def repair(work: RepairWork) -> None:
    """Give each its place."""
    for file in work.document.xml_files:
        if file.role == "external" and file.root.tag == ROOT:
            work.note(RULES[0], file.root, ROOT, EXTERNAL_ROOT, phrase("the root of an external file"))
            file.root.tag, file.root.attributes = EXTERNAL_ROOT, {}
            work.touch()
    if elements()[_GROUP].holds(work.major):
        for field in work.tagged(FIELD):
            for pattern in list(field.elements(PATTERN)):
                _group(work, field, pattern)
    for polygon in work.tagged(POLYGON):
        if is_ring_of_points(polygon):
            _ring(work, polygon)


def _group(work: RepairWork, field: Element, pattern: Element) -> None:
    group = Element(_GROUP, {"A": work.free_id(_GROUP)}, file=field.file, line=pattern.line)
    work.note(RULES[0], pattern, FIELD, group.id, phrase("a guidance pattern belongs in a group"))
    position = field.children.index(pattern)
    field.children[position] = group
    group.parent = field
    group.append(pattern)
    work.touch()


def _ring(work: RepairWork, polygon: Element) -> None:
    points = [node for node in polygon.children if isinstance(node, PointRun) or _is_point(node)]
    first = polygon.children.index(points[0])
    ring = Element(LINE_STRING, {"A": EXTERIOR}, file=polygon.file, line=polygon.line)
    work.note(RULES[0], polygon, POLYGON, LINE_STRING, phrase("points directly in a polygon form its outer ring"))
    polygon.children = [node for node in polygon.children if node not in points]
    polygon.children.insert(first, ring)
    ring.parent = polygon
    for point in points:
        ring.append(point)
    work.touch()


def _is_point(node: object) -> bool:
    return isinstance(node, Element) and node.tag == POINT
