"""What a field states of its area, as a witness: an outline that contradicts it is not made by a repair."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

import numpy as np

from taskdata.checks.field.wrong_area import WARNING_SHARE
from taskdata.checks.geometry import at_zero, stray_point
from taskdata.checks.registry import Check
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import ring_area
from taskdata.isoxml.tree.element import Element
from taskdata.repairs.repair_work import RepairWork

FIELD, BOUNDARY, INNER = "PFD", "1", "2"
CLEARLY = 1.0
"""By so many percent of the area one outline is clearly better than another; less is how areas are rounded."""
NONSENSE = 10.0
"""An area that is so many times too large or small is of another unit, and no witness."""


def contradicts(string: Element, outlines: Iterable[Points]) -> bool:
    """Tell whether the area stated of a ring's polygon speaks against other outlines in the place of that ring."""
    share = _share(string, outlines)
    return share is not None and share > float(WARNING_SHARE.default)


def agrees(string: Element, outlines: Iterable[Points], *, clearly_better_than: Iterable[Points]) -> bool:
    """Tell whether the area stated of a ring's polygon speaks for outlines in its place, and more than for others."""
    share, other = _share(string, outlines), _share(string, clearly_better_than)
    return share is not None and share <= float(WARNING_SHARE.default) and (other is None or share + CLEARLY < other)


def doubted(work: RepairWork) -> set[Element]:
    """Return the rings, or what holds them, with points at 0/0 or far from all others."""
    checks = (at_zero.check, stray_point.check)
    return {element for check in checks for element, _ in work.found(cast(Check, check))}


def _share(string: Element, outlines: Iterable[Points]) -> float | None:
    """Return by how many percent the stated area is off, None where nothing is stated or it is nonsense."""
    polygon = string.parent
    stated = None if polygon is None or polygon.tag != "PLN" else _stated(polygon)
    if polygon is None or stated is None:
        return None
    area = sum(abs(ring_area(points)) for points in outlines)
    for ring in polygon.elements("LSG"):
        if ring is not string and (points := ring.coordinates()).size and np.isfinite(points).all():
            area += -abs(ring_area(points)) if ring.get("LineStringType") == INNER else abs(ring_area(points))
    if not stated / NONSENSE < area < stated * NONSENSE:
        return None if area > 0.0 else 100.0
    return 100.0 * abs(stated - area) / area


def _stated(polygon: Element) -> float | None:
    """Return the area that a polygon states, or else the field of which it is the only boundary."""
    own = _number(polygon.get("PolygonArea"))
    field = polygon.parent
    if own is not None or field is None or field.tag != FIELD or polygon.get("PolygonType") != BOUNDARY:
        return own
    boundaries = [item for item in field.elements("PLN") if item.get("PolygonType") == BOUNDARY]
    return _number(field.get("PartfieldArea")) if len(boundaries) == 1 else None


def _number(text: str | None) -> float | None:
    plain = (text or "").strip()
    return float(plain) if plain.isascii() and plain.isdigit() and int(plain) > 0 else None
