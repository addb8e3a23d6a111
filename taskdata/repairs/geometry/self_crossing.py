"""Turn a ring that crosses itself into valid rings on the same ground.

Why it needs a look: where a ring crosses itself, which loop is meant cannot be told. All ground that the loops enclose
is kept, and loops of less than a square metre are left out, unless the area that the field states speaks against it:
where corners in another order enclose that area clearly better, they were in the wrong order; else the ring is left.
"""

from __future__ import annotations

import numpy as np
import shapely

from taskdata.amounts import counted
from taskdata.geometry.geodesy import ring_area
from taskdata.geometry.loops import is_simple, loops, ring_shapes
from taskdata.geometry.metres import on_earth
from taskdata.geometry.rings import unwrap
from taskdata.isoxml.to_document.change import DocumentChange
from taskdata.isoxml.to_document.points import put_points
from taskdata.isoxml.tree.element import Element
from taskdata.model.shapes import Coordinates, PointKind
from taskdata.phrases import phrase
from taskdata.repairs.all_strings import AllStrings
from taskdata.repairs.geometry.stated import agrees, contradicts, doubted
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing
from taskdata.versions import has

RULES = ("geometry.self-crossing",)
STANDING = Standing.REVIEW
NEEDS = ("geometry.stray-point",)

LEAST_M2 = 1.0
HALF_TURN = 180.0
"""Degrees of longitude beyond which a ring may cross the antimeridian or go round a pole: it is judged by itself."""


def repair(work: RepairWork) -> None:
    """Mend each outer ring that stands alone in its polygon and is not valid."""
    odd, strings = doubted(work), work.strings
    tools = None
    for number in _suspect(strings):
        string, points = strings.found[number], strings.points(number)
        if string in odd or string.parent in odd:
            continue
        if string.get("LineStringType") != "1" or string.parent is None or len(list(string.parent.elements("LSG"))) > 1:
            continue
        if len(points) < 4 or not on_earth(points).all() or len(np.unique(points, axis=0)) < 3 or is_simple(points):
            continue
        tools = tools or DocumentChange(work.document, by_key=False)
        ordered, parts = _in_order(points), _valid(points)
        if ordered is not None and agrees(string, [ordered], clearly_better_than=parts):
            reason = phrase("in this order the corners enclose the stated area")
            work.note(RULES[0], string, counted(len(points), "point"), counted(len(ordered), "point"), reason)
            _replace(work, tools, string, [ordered])
        elif parts and not contradicts(string, parts):
            area = sum(abs(ring_area(part)) for part in parts)
            if len(parts) == 1:
                reason = phrase("one ring without a crossing, {area:.0f} m²", area=area)
            else:
                reason = phrase("{count} rings without a crossing, {area:.0f} m² together", count=len(parts), area=area)
            work.note(RULES[0], string, counted(len(points), "point"), counted(sum(map(len, parts)), "point"), reason)
            _replace(work, tools, string, parts)


def _in_order(points: Coordinates) -> Coordinates | None:
    """Return a ring whose corners between its only crossing stand the other way round, None where that is no remedy."""
    plain = unwrap(points)
    sides = shapely.linestrings(np.stack([plain[:-1], plain[1:]], axis=1))
    first, second = shapely.STRtree(sides).query(sides, predicate="crosses")
    pairs = [(one, two) for one, two in zip(first.tolist(), second.tolist(), strict=True) if one < two]
    if len(pairs) != 1 or (points[0] != points[-1]).any():
        return None
    start, stop = pairs[0][0] + 1, pairs[0][1] + 1
    turned = np.concatenate([points[:start], points[start:stop][::-1], points[stop:]])
    return turned if is_simple(turned) else None


def _valid(points: Coordinates) -> list[Coordinates]:
    """Return the outer rings of the ground that a crossing ring encloses, the largest first."""
    large = [ring for ring in loops(points) if abs(ring_area(ring)) >= LEAST_M2]
    return sorted(large, key=lambda ring: -abs(ring_area(ring)))


def _suspect(strings: AllStrings) -> list[int]:
    """Return the numbers of the rings that are not known to be valid, as far as many are judged at once."""
    rings = strings.rings[strings.sizes[strings.rings] > 3]
    sound = shapely.is_valid(ring_shapes([strings.points(number) for number in rings.tolist()]))
    return [int(number) for number in rings[~sound | (strings.spans[rings] > HALF_TURN)]]


def _replace(work: RepairWork, tools: DocumentChange, string: Element, parts: list[Coordinates]) -> None:
    polygon = string.parent
    put_points(tools, string, parts[0], [PointKind.OTHER] * len(parts[0]))
    if polygon is None or polygon.parent is None:
        return
    at = polygon.parent.children.index(polygon) + 1
    for part in parts[1:]:
        ring = Element("LSG", dict(string.attributes), file=string.file)
        if not has("one outer ring", work.major):
            polygon.append(ring)
        else:
            attributes = {name: text for name, text in polygon.attributes.items() if not text.startswith("PLN")}
            twin = Element("PLN", attributes, file=polygon.file, parent=polygon.parent)
            twin.append(ring)
            polygon.parent.children.insert(at, twin)
            at += 1
        put_points(tools, ring, part, [PointKind.OTHER] * len(part))
    work.moved_in(polygon.parent)
