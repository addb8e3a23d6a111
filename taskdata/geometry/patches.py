"""Patches of ground in metres of a plane: made of corners, cut to other ground, laid over cells, freed of overlaps.

Arrays of shapely polygons and multi-polygons throughout; whatever has no area is left out.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.areas import GroundPart, in_plane
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.loops import only_polygons, polygons_of
from taskdata.geometry.multiplicity import cover
from taskdata.geometry.plane import LocalPlane

Shapes = NDArray[Any]
Indices = NDArray[np.intp]

_SAME = 1e-9
"""Share by which the area of shapes that share their corners may differ from that of their union."""

_AREAL = (shapely.GeometryType.POLYGON, shapely.GeometryType.MULTIPOLYGON)


def quads(corners: Floats) -> Shapes:
    """Return a polygon of four corners each, (n, 4, 2) in order round it, (n,)."""
    rings = np.concatenate([corners, corners[:, :1]], axis=1)
    return np.asarray(shapely.polygons(shapely.linearrings(rings)), dtype=object)


def lattice_quads(nodes: Floats) -> Shapes:
    """Return the cells between nodes, row by row; neighbours share their corners exactly.

    Parameters
    ----------
    nodes : float64 (rows + 1, columns + 1, 2)
        Metres.

    Returns
    -------
    ndarray of Polygon, (rows x columns,)
    """
    corners = np.stack([nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]], axis=2)
    return quads(corners.reshape(-1, 4, 2))


def cut(shapes: Shapes, ground: Any) -> Shapes:
    """Return the part of each shape that lies on some ground, (n,); an empty shape where none does."""
    shapely.prepare(ground)
    whole = shapely.covers(ground, shapes)
    meets = shapely.intersects(ground, shapes) & ~whole
    found = np.where(whole, shapes, shapely.from_wkt("POLYGON EMPTY"))
    found[meets] = areal(shapely.intersection(shapes[meets], ground))
    return found


def areal(shapes: Shapes) -> Shapes:
    """Return shapes without the lines and points that cutting may leave."""
    found = np.asarray(shapes, dtype=object).copy()
    for at in np.flatnonzero(~np.isin(shapely.get_type_id(found), _AREAL)).tolist():
        found[at] = only_polygons(found[at])
    return found


class Shared(NamedTuple):
    """Which cell and which patch have ground in common, and how much of it, m²; (n,) each."""

    cell: Indices
    patch: Indices
    area: Floats


def shared_areas(cells: Shapes, patches: Shapes) -> Shared:
    """Return the ground that cells and patches have in common."""
    tree = shapely.STRtree(cells)
    patch, cell = tree.query(patches, predicate="intersects")
    whole_patch, whole_cell = tree.query(patches, predicate="covers")
    is_whole = np.isin(patch * len(cells) + cell, whole_patch * len(cells) + whole_cell)
    area = np.asarray(shapely.area(cells), dtype=np.float64)[cell]
    edge = ~is_whole
    area[edge] = shapely.area(shapely.intersection(cells[cell[edge]], patches[patch[edge]]))
    some = area > 0.0
    return Shared(cell[some], patch[some], area[some])


class Common(NamedTuple):
    """Two patches, the first below the second, and the ground that both cover, m²."""

    first: int
    second: int
    area: float


def overlaps(patches: Shapes) -> list[Common]:
    """Return every two patches that cover the same ground, the largest overlap first."""
    first, second = shapely.STRtree(patches).query(patches, predicate="intersects")
    once = first < second
    first, second = first[once], second[once]
    touching = shapely.touches(patches[first], patches[second])
    first, second = first[~touching], second[~touching]
    area = shapely.area(shapely.intersection(patches[first], patches[second]))
    order = np.argsort(-area, kind="stable")
    return [Common(int(first[at]), int(second[at]), float(area[at])) for at in order.tolist() if area[at] > 0.0]


class Faces(NamedTuple):
    """Ground without overlaps: shapes, and for each pair of a face and a patch that covers it their positions."""

    shapes: Shapes
    face: Indices
    patch: Indices


def faces(patches: Shapes) -> Faces:
    """Return the faces that the outlines of patches make, each covered as a whole by one patch or several."""
    found = cover(patches).faces
    inner = shapely.STRtree(shapely.point_on_surface(found))
    patch, face = inner.query(patches, predicate="contains")
    order = np.lexsort((patch, face))
    return Faces(found, face[order], patch[order])


def united(shapes: Shapes, groups: NDArray[np.integer[Any]], count: int) -> Shapes:
    """Return the union of the shapes of each group, (count,)."""
    order = np.argsort(groups, kind="stable")
    bounds = np.searchsorted(groups[order], np.arange(count + 1))
    result = np.empty(count, dtype=object)
    result[:] = [merged(shapes[order[low:high]]) for low, high in pairwise(bounds.tolist())]
    return areal(result)


def merged(shapes: Shapes) -> Any:
    """Return shapes as one: fast where neighbours share their corners, as cells do, and else by a union."""
    if len(shapes) < 2:
        return shapes[0] if len(shapes) else shapely.MultiPolygon()
    total = float(shapely.area(shapes).sum())
    try:
        found = shapely.coverage_union_all(shapes)
    except shapely.GEOSException:
        found = None
    if found is not None and shapely.is_valid(found) and abs(float(shapely.area(found)) - total) <= _SAME * total:
        return found
    return shapely.union_all(shapes)


def solid_parts(shape: Any, least_m2: float) -> list[Any]:
    """Return the polygons of a polygon or multi-polygon that have at least so much ground."""
    return [part for part in shapely.get_parts(shape) if shapely.area(part) >= least_m2]


def ring_points(polygon: Any) -> list[Points]:
    """Return the rings of a polygon, the outer one first, (n, 2) each."""
    return [np.asarray(shapely.get_coordinates(ring)) for ring in shapely.get_rings(polygon)]


def in_metres(shapes: Shapes, plane: LocalPlane) -> Shapes:
    """Return polygons in degrees as valid ones in metres of a plane: what their loops enclose, where rings cross."""
    found = np.asarray(shapely.transform(shapes, plane.forward), dtype=object)
    for at in np.flatnonzero(~shapely.is_valid(found)).tolist():
        parts = [GroundPart([outer], holes) for outer, holes in polygons_of(shapes[at])]
        ground = in_plane(parts, plane).shape
        found[at] = shapely.from_wkt("POLYGON EMPTY") if ground is None else ground
    return found
