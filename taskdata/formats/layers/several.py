"""Several areas in one row: which polygon of a changed row belongs to which record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from taskdata.formats.geometries import shapes
from taskdata.geometry.areas import multipolygon
from taskdata.geometry.geodesy import inverse
from taskdata.geometry.loops import polygons_of
from taskdata.geometry.rings import unwrap
from taskdata.model.shapes import Area, AreaKind, Coordinates


def rearranged(areas: Sequence[Area], geometry: shapes.Geometry, kind: AreaKind) -> tuple[Area, ...]:
    """Return the areas of a row after its geometry changed.

    An area all of whose polygons are still there is the identical record. Each other polygon goes to the nearest of
    the remaining areas; one that had a single outer ring takes one polygon. What is left over becomes new areas of
    ``kind``; an area that gets nothing is left out, unless it never had a polygon to show.

    Parameters
    ----------
    geometry : shapely geometry or None
        The row's new geometry, its pieces not yet joined.
    """
    left = [([part], shapes.pieces_print([part])) for part in polygons_of(geometry)]
    kept: dict[int, Area] = {}
    for index, area in enumerate(areas):
        parts = [shapes.pieces_print([piece]) for piece in shapes.area_pieces(area)]
        prints = [found for _, found in left]
        if all(parts.count(part) <= prints.count(part) for part in parts):
            kept[index] = area
            for part in parts:
                del left[[found for _, found in left].index(part)]
    remaining = [(index, area) for index, area in enumerate(areas) if index not in kept]
    given = _given(remaining, shapes.polygons(multipolygon([part for parts, _ in left for part in parts])))
    changed = {index: _with(area, given[index]) for index, area in remaining if given.get(index)}
    new = [_with(Area(kind=kind, exteriors=()), [part]) for part in given.get(-1, [])]
    return (*(area for _, area in sorted((kept | changed).items())), *new)


def _given(remaining: list[tuple[int, Area]], polygons: list[shapes.Polygon]) -> dict[int, list[shapes.Polygon]]:
    """Return the polygons by the index of the area that takes them, -1 for none."""
    pairs = sorted(
        (_distance(polygon[0], area), number, index)
        for number, polygon in enumerate(polygons)
        for index, area in remaining
    )
    single = {index for index, area in remaining if len(area.exteriors) <= 1}
    given: dict[int, list[shapes.Polygon]] = {}
    placed: set[int] = set()
    for _, number, index in pairs:
        if number not in placed and not (index in single and index in given):
            given.setdefault(index, []).append(polygons[number])
            placed.add(number)
    free = [polygon for number, polygon in enumerate(polygons) if number not in placed]
    return given | ({-1: free} if free else {})


def _distance(ring: Coordinates, area: Area) -> float:
    """Return how far the middle of a ring is from that of the nearest outer ring of an area, in metres."""
    middles = [_middle(exterior) for exterior in area.exteriors if len(exterior)]
    return float(np.nanmin([np.inf, *inverse(_middle(ring), np.array(middles))[1]])) if middles else np.inf


def _middle(ring: Coordinates) -> Coordinates:
    points = unwrap(ring)
    return np.asarray((points.min(axis=0) + points.max(axis=0)) / 2.0)


def _with(area: Area, polygons: list[shapes.Polygon]) -> Area:
    pieces = shapes.kept_rings(polygons, (*area.exteriors, *area.interiors))
    return replace(
        area,
        exteriors=tuple(exterior for exterior, _ in pieces),
        interiors=tuple(ring for _, holes in pieces for ring in holes),
    )
