"""Split polygons with several outer rings into one polygon each, as version 4 wants them.

Why it is safe: the ground is the same; each hole goes to the ring that contains it (ISO 11783-10 D.39; R-259). An area
that is stated of the whole is that of no part and left out; where the rings contradict it, one of them may be a hole,
and the polygon is left.
"""

from __future__ import annotations

from taskdata.amounts import counted
from taskdata.checks.field.wrong_area import WARNING_SHARE
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.holes import group
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase
from taskdata.repairs.geometry.strings import in_xml
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing
from taskdata.versions import has

RULES = ("geometry.several-exteriors",)
STANDING = Standing.SAFE
NEEDS = ("geometry.open-ring",)

_OUTER, _INNER = "1", "2"
_AREA = "PolygonArea"


def repair(work: RepairWork) -> None:
    """Split each such polygon whose rings stand in XML, where the version wants one outer ring."""
    if not has("one outer ring", work.major):
        return
    for polygon in work.tagged("PLN"):
        outer = [string for string in polygon.elements("LSG") if string.get("LineStringType") == _OUTER]
        inner = [string for string in polygon.elements("LSG") if string.get("LineStringType") == _INNER]
        if len(outer) > 1 and polygon.parent is not None and all(map(in_xml, (*outer, *inner))):
            if _contradicts(polygon, outer, inner):
                continue
            if (stated := polygon.get(_AREA)) is not None:
                work.note(RULES[0], polygon, stated, None, phrase("it is the area of all rings, not of one part"))
                polygon.set(_AREA, None)
            before, after = counted(len(outer), "outer ring"), counted(1, "outer ring")
            work.note(RULES[0], polygon, before, after, phrase("a polygon has one outer ring"))
            _split(polygon, outer, inner)
            work.moved_in(polygon.parent)


def _contradicts(polygon: Element, outer: list[Element], inner: list[Element]) -> bool:
    """Tell whether the area that a polygon states speaks against its rings taken together."""
    text = (polygon.get(_AREA) or "").strip()
    if not (text.isascii() and text.isdigit()) or int(text) == 0:
        return False
    area = polygon_area([item.coordinates() for item in outer], [item.coordinates() for item in inner])
    return abs(int(text) - area) > area * float(WARNING_SHARE.default) / 100.0


def _split(polygon: Element, outer: list[Element], inner: list[Element]) -> None:
    grouping = group([string.coordinates() for string in outer], [string.coordinates() for string in inner])
    waiting = {string.coordinates().tobytes(): string for string in inner}
    parent = polygon.parent
    if parent is None:
        return
    at = parent.children.index(polygon) + 1
    own = elements()[polygon.tag].id_letter
    for number, (string, (_, holes)) in enumerate(zip(outer, grouping.groups, strict=True)):
        mine = [waiting[hole.tobytes()] for hole in holes]
        if number == 0:
            keep = {id(item) for item in (string, *mine)}
            rest = [item for item in polygon.children if not isinstance(item, Element) or item.tag != "LSG"]
            polygon.children = [*rest, *(item for item in (*outer, *inner) if id(item) in keep)]
            continue
        attributes = {name: text for name, text in polygon.attributes.items() if name != own}
        part = Element(polygon.tag, attributes, file=polygon.file, line=polygon.line, parent=parent)
        for item in (string, *mine):
            part.append(item)
        parent.children.insert(at, part)
        at += 1
