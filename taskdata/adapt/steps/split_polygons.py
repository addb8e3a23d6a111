"""A polygon with several outer rings becomes several polygons."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label, replace_child
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.holes import group
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase


def split_polygons(work: Adaptation) -> None:
    """Make one polygon for each outer ring; each inner ring goes to the outer ring that contains it (R-259).

    Where an area is stated, each part states its own. What else stands in the polygon stays in the first part.
    """
    for polygon in work.tagged("PLN"):
        outer = _rings(polygon, RingKind.EXTERIOR)
        if len(outer) < 2 or polygon.parent is None:
            continue
        why = phrase("version {target} allows one outer ring", target=work.target)
        areas = "" if polygon.get("PolygonArea") is None else phrase(", each with its own area")
        work.alter(
            polygon,
            phrase("{polygon} becomes {count} polygons{areas}", polygon=label(polygon), count=len(outer), areas=areas),
            why,
        )
        replace_child(polygon.parent, polygon, _parts(work, polygon, outer))


def _parts(work: Adaptation, polygon: Element, outer: list[Element]) -> list[Element]:
    inner = _rings(polygon, RingKind.INTERIOR)
    shapes, holes = [ring.coordinates() for ring in outer], [ring.coordinates() for ring in inner]
    grouping = group(shapes, holes)
    if grouping.outside:
        what = phrase(
            "{count} inner rings that lie in no outer ring go to the nearest one", count=len(grouping.outside)
        )
        work.alter(polygon, what, phrase("version {target} requires each to lie in one", target=work.target))
    numbers = {id(hole): at for at, hole in enumerate(holes)}
    parts = []
    for ring, (shape, given) in zip(outer, grouping.groups, strict=True):
        part = Element(polygon.tag, dict(polygon.attributes), file=polygon.file, line=polygon.line)
        part.append(ring)
        for hole in given:
            part.append(inner[numbers[id(hole)]])
        if part.get("PolygonArea") is not None:
            part.set("PolygonArea", str(round(polygon_area([shape], given))))
        parts.append(part)
    for child in polygon.children:
        if child not in outer and child not in inner:
            parts[0].append(child)
    return parts


def _rings(polygon: Element, kind: RingKind) -> list[Element]:
    return [ring for ring in polygon.elements("LSG") if ring.get("LineStringType") == str(int(kind))]
