"""Which share of shapes lies in polygons, or runs along their edges; all in metres of one plane."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray


def share_within(inner: NDArray[Any], outer: Sequence[Any]) -> float:
    """Return the share of geometries that lie nearly whole in one of several polygons; all in the same metres."""
    known = np.array([item for item in inner if item is not None and not item.is_empty], dtype=object)
    holders = np.array([item for item in outer if item is not None], dtype=object)
    if not len(known) or not len(holders):
        return 0.0
    holders = np.where(shapely.is_valid(holders), holders, shapely.make_valid(holders))
    spots = shapely.point_on_surface(known)
    pairs = shapely.STRtree(holders).query(spots, predicate="within")
    within = np.zeros(len(known), dtype=bool)
    for row, holder in pairs.T:
        if not within[row]:
            shape = known[row] if shapely.is_valid(known[row]) else shapely.make_valid(known[row])
            size = shapely.area(shape) or shapely.length(shape)
            common = shapely.intersection(shape, holders[holder])
            inside = shapely.area(common) if shapely.area(shape) else shapely.length(common)
            within[row] = not size or inside >= 0.9 * size
    return float(within.mean())


def share_along(lines: NDArray[Any], polygons: Sequence[Any], within_m: float) -> float:
    """Return the share of lines that run along the edge of one of several polygons, within some metres of it."""
    known = np.array([item for item in lines if item is not None and not item.is_empty], dtype=object)
    edges = np.array([shapely.boundary(item) for item in polygons if item is not None], dtype=object)
    if not len(known) or not len(edges):
        return 0.0
    near = np.array([shapely.buffer(edge, within_m, quad_segs=2) for edge in edges], dtype=object)
    pairs = shapely.STRtree(near).query(known)
    along = np.zeros(len(known), dtype=bool)
    for row, edge in pairs.T:
        along[row] |= shapely.length(shapely.intersection(known[row], near[edge])) >= 0.8 * shapely.length(known[row])
    return float(along.mean())
