"""Single places in fields: entrances, obstacles, marks."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from taskdata.formats.foreign.features import Feature
from taskdata.formats.foreign.homes import Homes
from taskdata.formats.foreign.roles.layer_words import point_kind
from taskdata.model.shapes import Point, PointKind


def put_points(features: Iterable[Feature], homes: Homes) -> None:
    """Give each point to its field: of the kind that its row or its layer says, else another point."""
    found: dict[int, list[Point]] = {}
    for feature in features:
        found.setdefault(homes.of(feature), []).append(_point(feature))
    for owner, points in found.items():
        homes.fields[owner] = replace(homes.fields[owner], points=(*homes.fields[owner].points, *points))


def _point(feature: Feature) -> Point:
    spot, kind = feature.geometry, point_kind(feature.kind) or PointKind.OTHER
    up = float(spot.z) if spot.has_z and math.isfinite(spot.z) else None
    return Point(kind, float(spot.x), float(spot.y), name=feature.name, up_m=up)
