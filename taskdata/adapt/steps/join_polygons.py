"""Several polygons of one field or zone become one with several outer rings."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, stated
from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.element import Element, Node
from taskdata.model.shapes import AreaKind
from taskdata.phrases import phrase

_ADDED = letter("PLN", "PolygonArea")


def join_polygons(work: Adaptation) -> None:
    """Join the boundaries of a field (R-249) and the polygons of a treatment zone (R-250).

    Each outer ring is followed by its inner rings. Areas add up; of all else that polygons state, that of the first
    stays.
    """
    boundary = str(int(AreaKind.BOUNDARY))
    for owner in work.tagged("PFD", "TZN"):
        polygons = list(owner.elements("PLN"))
        if owner.tag == "PFD":
            polygons = [polygon for polygon in polygons if polygon.get("PolygonType") == boundary]
        if len(polygons) > 1:
            _join(work, polygons)
            what = (
                phrase("boundaries")
                if owner.tag == "PFD"
                else phrase(
                    "polygons of zone {treatment_zone_code}", treatment_zone_code=owner.get("TreatmentZoneCode")
                )
            )
            work.alter(
                owner,
                phrase("{count} {what} become one polygon", count=len(polygons), what=what),
                phrase("version {target} allows one", target=work.target),
            )


def _join(work: Adaptation, polygons: list[Element]) -> None:
    first, *others = polygons
    area = _area(polygons)
    if area is None and first.get("PolygonArea") is not None:
        work.drop(
            first,
            phrase("PolygonArea {polygon_area}", polygon_area=first.get("PolygonArea")),
            phrase("it is not the area of the joined polygon"),
        )
    first.set("PolygonArea", area)
    for other in others:
        lost = [
            stated(other, key, text)
            for key, text in other.attributes.items()
            if key != _ADDED and text != first.attributes.get(key)
        ]
        if lost:
            work.drop(
                other,
                phrase("attributes of a joined polygon: {lost}", lost=", ".join(lost)),
                phrase("version {target} allows one", target=work.target),
            )
    nodes = [child for polygon in polygons for child in sorted(polygon.children, key=_is_inner)]
    first.children = []
    for node in nodes:
        first.append(node)
    for other in others:
        work.remove(other)


def _is_inner(node: Node) -> bool:
    inner = str(int(RingKind.INTERIOR))
    return isinstance(node, Element) and node.tag == "LSG" and node.get("LineStringType") == inner


def _area(polygons: list[Element]) -> str | None:
    """Return the sum of the areas stated; None where one states none, or the sum is more than can be stated."""
    texts = [(polygon.get("PolygonArea") or "").strip() for polygon in polygons]
    if not all(text.isascii() and text.isdigit() for text in texts):
        return None
    total = sum(map(int, texts))
    most = elements()["PLN"].attributes[letter("PLN", "PolygonArea")].maximum
    return str(total) if most is None or total <= int(most) else None
