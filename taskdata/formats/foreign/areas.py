"""Headlands, obstacles, water and other polygons in fields."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from taskdata.formats.foreign.features import Feature
from taskdata.formats.foreign.homes import Homes
from taskdata.formats.foreign.roles.layer_words import area_kind
from taskdata.formats.geometries import shapes
from taskdata.model.shapes import Area, AreaKind


def put_areas(features: Iterable[Feature], homes: Homes) -> None:
    """Give each area to its field: of the kind that its row or its layer says, else another area."""
    for feature in features:
        owner = homes.of(feature)
        kind = area_kind(feature.kind) or AreaKind.OTHER
        kind = AreaKind.OTHER if kind is AreaKind.BOUNDARY else kind
        made = tuple(
            Area(kind, (exterior,), tuple(holes), name=feature.name)
            for exterior, holes in shapes.polygons(feature.geometry)
        )
        homes.fields[owner] = replace(homes.fields[owner], areas=(*homes.fields[owner].areas, *made))
