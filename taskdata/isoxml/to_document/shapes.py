"""Areas, lines and points to elements (PLN, LSG, PNT)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.holes import group
from taskdata.geometry.rings import close
from taskdata.isoxml.facts import letter
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.to_document.fitting import Attribute
from taskdata.isoxml.to_document.points import degrees, put_moved_points, put_points
from taskdata.isoxml.to_document.same_points import same
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.ledger import LossKind
from taskdata.model.shapes import Area, AreaKind, Line, LineKind, Point, PointKind
from taskdata.phrases import phrase
from taskdata.versions import has

_OUTER, _INNER = "1", "2"


MILLIMETRES = 1000
"""Lengths are stored in whole millimetres."""


_AREA = (
    Attribute("PolygonType", "kind", otherwise=AreaKind.OTHER),
    Attribute("PolygonDesignator", "name"),
    Attribute("PolygonArea", "declared_area_m2"),
    Attribute("PolygonColour", "colour"),
)
_LINE = (
    Attribute("LineStringType", "kind", otherwise=LineKind.FLAG),
    Attribute("LineStringDesignator", "name"),
    Attribute("LineStringWidth", "width_m", factor=MILLIMETRES),
    Attribute("LineStringColour", "colour"),
)
_POINT = (
    Attribute("PointType", "kind", otherwise=PointKind.OTHER),
    Attribute("PointDesignator", "name"),
    Attribute("PointNorth", "lat", degrees),
    Attribute("PointEast", "lon", degrees),
    Attribute("PointUp", "up_m", factor=MILLIMETRES),
    Attribute("PointColour", "colour"),
)


def single_areas(change: DocumentChange, areas: Sequence[Area]) -> list[Area]:
    """Shape new areas as the version wants them: one outer ring each from version 4, one area for all before.

    Areas that stem from an element stay as they are.
    """
    if has("one outer ring", change.major):
        return [part for area in areas for part in (_split(area) if area.key is None else [area])]
    fresh = [area for area in areas if area.key is None]
    if len(fresh) < 2:
        return list(areas)
    kinds = dict.fromkeys(area.kind for area in fresh if area.kind in {AreaKind.BOUNDARY, AreaKind.TREATMENT_ZONE})
    joined = [_join([area for area in fresh if area.kind is kind]) for kind in kinds]
    return [area for area in areas if area.key is not None or area.kind not in kinds] + joined


def create_area(change: DocumentChange, area: Area) -> Element:
    """Make a polygon (PLN)."""
    element = Element("PLN")
    change.lay(element, _AREA, None, area)
    change.identify(element, area.id)
    _rings(change, element, area)
    return element


def update_area(change: DocumentChange, element: Element, old: Area, new: Area) -> None:
    """Lay a changed area over its polygon."""
    reshaped = not (same(old.exteriors, new.exteriors) and same(old.interiors, new.interiors))
    if reshaped and old.declared_area_m2 is not None and old.declared_area_m2 == new.declared_area_m2:
        new = _measured(change, element, old, new)
    change.lay(element, _AREA, old, new)
    if reshaped:
        _rings(change, element, new)


def _measured(change: DocumentChange, element: Element, old: Area, new: Area) -> Area:
    """Return a reshaped area with the size that it has now, where that is another by 1 m²: a mere move leaves it."""
    size, before = (polygon_area(area.exteriors, area.interiors) for area in (new, old))
    if not abs(size - before) >= 1.0:
        return new
    told = phrase(
        "stated area of a polygon {declared_area_m2} m² becomes {size} m²",
        declared_area_m2=old.declared_area_m2,
        size=round(size),
    )
    change.lose(LossKind.CHANGED, element.nearest_id(), told, phrase("its rings changed"))
    return replace(new, declared_area_m2=round(size))


def create_line(change: DocumentChange, line: Line) -> Element:
    """Make a line string (LSG) of its own."""
    element = Element("LSG")
    change.lay(element, _LINE, None, line)
    change.identify(element, line.id)
    put_points(change, element, line.points, [PointKind.OTHER] * len(line.points), line)
    return element


def update_line(change: DocumentChange, element: Element, old: Line, new: Line) -> None:
    """Lay a changed line over its line string."""
    change.lay(element, _LINE, old, new)
    if not same(old.points, new.points):
        put_moved_points(change, element, new.points, [PointKind.OTHER] * len(new.points), new)


def create_point(change: DocumentChange, point: Point) -> Element:
    """Make a point (PNT) of its own."""
    element = Element(POINT)
    change.lay(element, _POINT, None, point)
    change.identify(element, point.id)
    return element


def update_point(change: DocumentChange, element: Element, old: Point, new: Point) -> None:
    """Lay a changed point over its element."""
    change.lay(element, _POINT, old, new)


def _rings(change: DocumentChange, polygon: Element, area: Area) -> None:
    """Make the rings of an area the rings of a polygon, old line strings reused in their order."""
    for role, rings in ((_OUTER, area.exteriors), (_INNER, area.interiors)):
        old = [child for child in polygon.elements("LSG") if child.get("LineStringType") == role]
        for string in old[len(rings) :]:
            change.remove(string)
        for number, ring in enumerate(rings):
            if number < len(old):
                string = old[number]
            else:
                string = Element("LSG", {letter("LSG", "LineStringType"): role})
                polygon.append(string)
            whole = close(ring) if has("closed rings", change.major) else ring
            if not same(string.coordinates(), whole):
                put_moved_points(change, string, whole, [PointKind.OTHER] * len(whole), area)


def _split(area: Area) -> list[Area]:
    """Return one area for each outer ring, with the inner rings that lie in it."""
    if len(area.exteriors) < 2:
        return [area]
    parts = group(area.exteriors, area.interiors).groups
    return [replace(area, exteriors=(outer,), interiors=tuple(inner), id=None) for outer, inner in parts]


def _join(areas: list[Area]) -> Area:
    """Return one area with the rings of all."""
    outer = tuple(ring for area in areas for ring in area.exteriors)
    inner = tuple(ring for area in areas for ring in area.interiors)
    return replace(areas[0], exteriors=outer, interiors=inner)
