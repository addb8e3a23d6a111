"""The ground of single strips over successive intervals, as polygons in a plane and on a map."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry import areas
from taskdata.geometry.areas import GroundPart
from taskdata.geometry.loops import only_polygons, polygons_of
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.ribbons import Indices, Shapes, outlines, polygons
from taskdata.geometry.sweeps import Quads, Strips

_HALF_TURN = 180.0


def stretches(strips: Strips, strip: Indices, first: Indices, last: Indices) -> Shapes:
    """Return the outline of each stretch: its right edge on, and its left edge back.

    Parameters
    ----------
    strip, first, last : ndarray
        (m,) strip, and first and last interval of each stretch.

    Returns
    -------
    ndarray
        (m,) polygons; one that turns back on itself may cross itself, and is then not valid.
    """
    counts = last - first + 2
    owner = np.repeat(np.arange(len(strip)), counts)
    offset = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    right = strips.right[first[owner] + offset, strip[owner]]
    left = strips.left[last[owner] + 1 - offset, strip[owner]]
    stretch, side = np.concatenate([owner, owner]), np.repeat([0, 1], len(owner))
    order = np.lexsort((np.concatenate([offset, offset]), side, stretch))
    rings = shapely.linearrings(np.concatenate([right, left])[order], indices=stretch[order])
    return np.asarray(shapely.polygons(rings), dtype=object)


def united(quads: Quads) -> Any:
    """Return the ground of (m, 4, 2) quadrilaterals as one polygon or multi-polygon."""
    return only_polygons(shapely.union_all(outlines(quads)))


def gathered(quads: Quads, owner: Indices, count: int) -> Shapes:
    """Return the ground of (m, 4, 2) quadrilaterals by what each is of, (count,) shapes; empty where none is."""
    found = np.full(count, shapely.MultiPolygon(), dtype=object)
    order = np.argsort(owner, kind="stable")
    members, first, number = np.unique(owner[order], return_index=True, return_counts=True)
    alone = number == 1
    found[members[alone]] = polygons(quads[order[first[alone]]])
    for member, start, length in zip(members[~alone], first[~alone], number[~alone], strict=True):
        found[member] = united(quads[order[start : start + length]])
    return found


def on_map(ground: Shapes, plane: LocalPlane) -> NDArray[Any]:
    """Return polygons of a plane as a map shows them: valid multi-polygons in degrees, see `areas.pieces`."""
    degrees = np.asarray(shapely.transform(ground, plane.inverse), dtype=object)
    bounds = shapely.bounds(degrees)
    plain = (shapely.get_type_id(degrees) == shapely.GeometryType.POLYGON) & shapely.is_valid(degrees)
    plain &= (shapely.get_num_interior_rings(degrees) == 0) & (bounds[:, 2] - bounds[:, 0] < _HALF_TURN)
    outer = shapely.get_exterior_ring(degrees[plain])
    rings = np.where(shapely.is_ccw(outer), outer, shapely.reverse(outer))
    found = np.full(len(degrees), shapely.MultiPolygon(), dtype=object)
    found[plain] = [shapely.multipolygons([part]) for part in shapely.polygons(rings)]
    for place in np.flatnonzero(~plain & ~shapely.is_empty(ground)).tolist():
        parts = [GroundPart([outline], holes) for outline, holes in polygons_of(degrees[place])]
        whole = polygons_of(areas.on_map(parts).shape)
        shape = areas.multipolygon(areas.pieces([GroundPart([outline], holes) for outline, holes in whole])[0])
        found[place] = shapely.MultiPolygon() if shape is None else shape
    return found
