"""Records' coordinates as the geometry of layers, and back.

Layer geometry is WGS 84, two-dimensional, cut at the antimeridian, exteriors counter-clockwise and holes clockwise
(RFC 7946 sections 3.1.6 and 3.1.9). What makes no geometry (a ring of fewer than three different points, a line of one,
a coordinate that is not a number) is left out of the layer, never out of the record behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, TypeAlias

import numpy as np
import shapely

from taskdata.geometry import antimeridian, areas, rings
from taskdata.geometry.loops import NOTHING, SHAPELESS, polygons_of
from taskdata.model.shapes import Area, Coordinates

Geometry: TypeAlias = Any
"""A shapely geometry, or None."""

Polygon: TypeAlias = tuple[Coordinates, list[Coordinates]]
"""A closed exterior ring and its closed holes."""

Fingerprint: TypeAlias = tuple[bytes, ...]
"""What two geometries have in common that are the same but for start points, directions and order of rings."""


def area_pieces(area: Area) -> list[Polygon]:
    """Return the polygons of an area as they stand in a layer."""
    return areas.pieces([area])[0]


def unshown(area: Area) -> list[areas.BadRing]:
    """Return the rings of an area that no polygon of a layer shows: at the antimeridian flat ones are cut away too."""
    rings = {False: area.exteriors, True: area.interiors}
    return [
        bad
        for bad in areas.pieces([area])[1]
        if bad.fault in SHAPELESS or (bad.fault in NOTHING and antimeridian.crosses(rings[bad.is_hole][bad.number]))
    ]


def multipolygon(records: Iterable[Area]) -> Geometry:
    """Return one shapely multipolygon of several areas, None where they have no geometry."""
    return areas.multipolygon([piece for area in records for piece in area_pieces(area)])


def line(points: Coordinates) -> Geometry:
    """Return a shapely line, of several parts where it crosses the antimeridian; None for fewer than two points."""
    if len(points) < 2 or not bool(np.isfinite(points).all()):
        return None
    parts = antimeridian.cut_line(points)
    return shapely.LineString(parts[0]) if len(parts) == 1 else shapely.MultiLineString(parts)


def point(lon: float, lat: float) -> Geometry:
    """Return a shapely point; None where a coordinate is not a number."""
    return shapely.Point(lon, lat) if bool(np.isfinite([lon, lat]).all()) else None


def to_wkb(geometry: Geometry) -> bytes | None:
    """Return a geometry as little-endian WKB."""
    return None if geometry is None else bytes(shapely.to_wkb(geometry, byte_order=1))


def from_wkb(wkb: bytes | None) -> Geometry:
    """Return the geometry of a row, in two dimensions; None where there is none, or nothing in it."""
    geometry = None if wkb is None else shapely.force_2d(shapely.from_wkb(wkb, on_invalid="ignore"))
    return None if geometry is None or geometry.is_empty else geometry


def fingerprint(geometry: Geometry) -> Fingerprint:
    """Return what tells a geometry from others: its rings without regard to start, direction and order, or its lines.

    A writer may turn rings and sort them; that is no change of the geometry.
    """
    if geometry is None:
        return ()
    parts = list(shapely.get_parts(geometry))
    if any(shapely.get_type_id(part) == shapely.GeometryType.POLYGON for part in parts):
        found = [ring for part in parts for ring in shapely.get_rings(part)]
        return tuple(sorted(ring_print(shapely.get_coordinates(ring)) for ring in found))
    return tuple((shapely.get_coordinates(part) + 0.0).tobytes() for part in parts)


def alike(first: Geometry, second: Geometry, tolerance: float = 0.0) -> bool:
    """Return whether two geometries are the same but for start points, directions and order of rings.

    ``tolerance`` in degrees is not 0 where one of them went through another coordinate reference system.
    """
    if fingerprint(first) == fingerprint(second):
        return True
    if tolerance == 0.0 or first is None or second is None:
        return False
    if is_linear(first) or is_linear(second):
        return bool(shapely.equals_exact(_multi(first), _multi(second), tolerance))
    return bool(shapely.equals_exact(_multi(first), _multi(second), tolerance, normalize=True))


def pieces_print(pieces: Iterable[Polygon]) -> Fingerprint:
    """Return the fingerprint of polygons."""
    return tuple(sorted(ring_print(ring) for exterior, holes in pieces for ring in (exterior, *holes)))


def ring_print(ring: Coordinates) -> bytes:
    """Return the bytes of a ring, open or closed, from its smallest point on in its smaller direction."""
    points = rings.open_ring(ring) + 0.0
    smallest = np.flatnonzero((points == min(map(tuple, points.tolist()))).all(axis=1))
    turned = [np.roll(points, -int(start), axis=0) for start in smallest]
    turned += [np.roll(points[::-1], int(start) + 1, axis=0) for start in smallest]
    return min(array.tobytes() for array in turned)


def polygons(geometry: Geometry) -> list[Polygon]:
    """Return the polygons of a geometry with closed rings, pieces joined across the antimeridian."""
    found = polygons_of(geometry)
    if any(_touches_seam(exterior) for exterior, _ in found):
        return [(outline, list(holes)) for outline, holes in antimeridian.join_polygons(found)]
    return found


def lines(geometry: Geometry) -> list[Coordinates]:
    """Return the lines of a geometry, parts joined across the antimeridian."""
    kinds = (shapely.GeometryType.LINESTRING, shapely.GeometryType.LINEARRING)
    parts = shapely.get_parts(geometry) if geometry is not None else ()
    found = [shapely.get_coordinates(part) for part in parts if shapely.get_type_id(part) in kinds]
    if any(_touches_seam(part) for part in found):
        return list(antimeridian.join_lines(found))
    return found


def is_polygonal(geometry: Geometry) -> bool:
    """Return whether a geometry is a polygon or several."""
    return shapely.get_type_id(geometry) in (shapely.GeometryType.POLYGON, shapely.GeometryType.MULTIPOLYGON)


def is_linear(geometry: Geometry) -> bool:
    """Return whether a geometry is a line or several."""
    return shapely.get_type_id(geometry) in (
        shapely.GeometryType.LINESTRING,
        shapely.GeometryType.LINEARRING,
        shapely.GeometryType.MULTILINESTRING,
    )


def kept_rings(pieces: Sequence[Polygon], stored: Iterable[Coordinates]) -> list[Polygon]:
    """Return polygons in which each ring that equals a stored one is that very array, as it was stored."""
    known = {ring_print(ring): ring for ring in stored if len(ring)}
    return [
        (known.get(ring_print(exterior), exterior), [known.get(ring_print(ring), ring) for ring in holes])
        for exterior, holes in pieces
    ]


def _multi(geometry: Geometry) -> Geometry:
    parts = shapely.get_parts(geometry)
    return shapely.MultiPolygon(parts) if is_polygonal(geometry) else shapely.GeometryCollection(list(parts))


def _touches_seam(points: Coordinates) -> bool:
    return bool((np.abs(points[:, 0]) == 180.0).any())
