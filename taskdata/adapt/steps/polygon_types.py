"""Polygons lose their identifier, and types that came later."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label, spaced
from taskdata.isoxml.facts import elements, letter
from taskdata.model.shapes import AreaKind
from taskdata.phrases import phrase


def simplify_polygons(work: Adaptation) -> None:
    """Drop identifiers of polygons; main field, headland, buffer zone and windbreak become type 8, other (R-248)."""
    values = elements()["PLN"].attributes[letter("PLN", "PolygonType")].values
    later = {str(item.low): phrase(spaced(item.name)) for item in values if not item.holds(work.target)}
    for polygon in work.tagged("PLN"):
        work.drop_attribute(polygon, "PolygonId")
        code = polygon.get("PolygonType") or ""
        if code in later:
            polygon.set("PolygonType", str(int(AreaKind.OTHER)))
            what = phrase(
                "{polygon} of type {code} ({later}) becomes type {other:d} (other)",
                polygon=label(polygon),
                code=code,
                later=later[code],
                other=AreaKind.OTHER,
            )
            work.alter(polygon, what, phrase("version {target} has no such type", target=work.target))
