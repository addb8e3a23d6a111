"""Turn a ring that crosses itself into valid rings on the same ground.

Why it needs a look: where a ring crosses itself, which loop is meant cannot be told. All ground that the loops enclose
is kept; loops of less than a square metre are left out.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from taskdata.geometry.geodesy import ring_area
from taskdata.geometry.rings import unwrap
from taskdata.isoxml.element import Element
from taskdata.isoxml.to_document.change import Change as Tools
from taskdata.isoxml.to_document.points import put_points
from taskdata.model.shapes import Coordinates, PointKind
from taskdata.repairs.geometry.strings import rings
from taskdata.repairs.journal import Standing
from taskdata.repairs.work import Work

RULES = ("geometry.self-crossing",)
STANDING = Standing.REVIEW
ORDER = 55

LEAST_M2 = 1.0


def repair(work: Work) -> None:
    """Mend each outer ring that stands alone in its polygon and is not valid."""
    for string in rings(work):
        if string.get("LineStringType") != "1" or string.parent is None or len(list(string.parent.elements("LSG"))) > 1:
            continue
        points = string.coordinates()
        if len(points) < 4 or len(np.unique(points, axis=0)) < 3 or shapely.Polygon(unwrap(points)).is_valid:
            continue
        parts = _valid(points)
        if parts:
            area = sum(abs(ring_area(part)) for part in parts)
            reason = f"{len(parts)} rings without a crossing, {area:.0f} m² together"
            work.note(RULES[0], string, len(points), sum(map(len, parts)), reason)
            _replace(work, string, parts)


def _valid(points: Coordinates) -> list[Coordinates]:
    """Return the outer rings of the ground that a crossing ring encloses, the largest first."""
    mended = shapely.make_valid(shapely.Polygon(unwrap(points)), method="structure", keep_collapsed=False)
    shells: list[Any] = [part.exterior for part in shapely.get_parts(mended) if part.geom_type == "Polygon"]
    found = [np.asarray(shell.coords)[:, :2] for shell in shells]
    large = [ring for ring in found if abs(ring_area(ring)) >= LEAST_M2]
    return sorted(large, key=lambda ring: -abs(ring_area(ring)))


def _replace(work: Work, string: Element, parts: list[Coordinates]) -> None:
    polygon = string.parent
    tools = Tools(work.document)
    put_points(tools, string, parts[0], [PointKind.OTHER] * len(parts[0]))
    if polygon is None or polygon.parent is None:
        return
    at = polygon.parent.children.index(polygon) + 1
    for part in parts[1:]:
        ring = Element("LSG", dict(string.attributes), file=string.file)
        if work.major < 4:
            polygon.append(ring)
        else:
            attributes = {name: text for name, text in polygon.attributes.items() if not text.startswith("PLN")}
            twin = Element("PLN", attributes, file=polygon.file, parent=polygon.parent)
            twin.append(ring)
            polygon.parent.children.insert(at, twin)
            at += 1
        put_points(tools, ring, part, [PointKind.OTHER] * len(part))
    work.touch()
