"""The ground that a drive covered: exact polygons of small steps, united by shapely; how often, by a raster.

A step of a section is the quadrilateral between its two places, at most 0.5 degrees of turn apart; where the two
places cross, in a turn about a point of the section itself, it is two triangles.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

TURN = np.radians(0.5)
LONGEST_M = 5.0
CELL_M = 0.05


@dataclass(frozen=True)
class Truth:
    """Areas in m²."""

    worked: float
    double: float
    missed: float
    outside: float


def quads(drive, on: np.ndarray) -> np.ndarray:
    """What each section swept while it was on, (m,) polygons; ``on`` is (n, k), of the steps that begin at a sample."""
    kept = _thinned(drive, on)
    found = []
    for column, (left, right) in enumerate(drive.rig.edges):
        left_way, right_way = drive.edge(left)[kept], drive.edge(right)[kept]
        active = on[kept[:-1], column]
        corners = np.stack([right_way[:-1], right_way[1:], left_way[1:], left_way[:-1]], axis=1)[active]
        found.append(_simple(corners))
    return np.concatenate(found)


def truth(drive, on: np.ndarray, field, *, cell: float = CELL_M) -> Truth:
    """What was done to a field, a shapely polygon."""
    pieces = quads(drive, on)
    worked = shapely.union_all(pieces)
    return Truth(
        float(worked.area),
        double(pieces, worked, cell),
        float(shapely.difference(field, worked).area),
        float(shapely.difference(worked, field).area),
    )


def double(pieces: np.ndarray, worked, cell: float) -> float:
    """Ground that lies in two pieces or more: by the middles of cells, only where pieces overlap at all."""
    excess = max(0.0, float(shapely.area(pieces).sum() - worked.area))
    if excess < 1e-3:
        return excess
    groups = [shapely.union_all(part) for part in np.array_split(pieces, max(1, len(pieces) // 25))]
    tree = shapely.STRtree(groups)
    one, two = tree.query(groups, predicate="intersects")
    shared = [groups[a].intersection(groups[b]) for a, b in zip(one, two, strict=True) if a < b]
    own = [
        group
        for group, part in zip(groups, np.array_split(pieces, max(1, len(pieces) // 25)), strict=True)
        if shapely.area(part).sum() - group.area > 1e-6
    ]
    whole = shapely.union_all(np.array([*(item.buffer(0.0) for item in shared)], dtype=object))
    if not own:
        return float(whole.area)
    return float(whole.area) + _again(pieces, shapely.union_all(own).difference(whole), cell)


def _again(pieces: np.ndarray, where, cell: float) -> float:
    """The area of places covered twice by a raster."""
    low_x, low_y, high_x, high_y = where.bounds
    x, y = np.meshgrid(np.arange(low_x, high_x, cell) + cell / 2, np.arange(low_y, high_y, cell) + cell / 2)
    shapely.prepare(where)
    inside = shapely.contains_xy(where, x, y)
    points = shapely.points(x[inside], y[inside])
    of_point, _ = shapely.STRtree(pieces).query(points, predicate="within")
    return float((np.bincount(of_point, minlength=len(points)) > 1).sum()) * cell**2


def _thinned(drive, on: np.ndarray) -> np.ndarray:
    """The samples that are needed: all that switch, and enough of the others."""
    switches = np.concatenate([[True], (on[1:] != on[:-1]).any(axis=1)])
    turned = np.abs(np.diff(drive.trailed_heading, prepend=drive.trailed_heading[0]))
    gone = np.hypot(*np.diff(drive.middle, axis=0, prepend=drive.middle[:1]).T)
    speed_changes = np.concatenate([[False], drive.speed[1:] != drive.speed[:-1]])
    kept, angle, way = [0], 0.0, 0.0
    for index in range(1, len(on)):
        angle, way = angle + turned[index], way + gone[index]
        if switches[index] or speed_changes[index] or angle >= TURN or way >= LONGEST_M or index == len(on) - 1:
            kept.append(index)
            angle = way = 0.0
    return np.array(kept)


def _simple(corners: np.ndarray) -> np.ndarray:
    """Quadrilaterals as polygons; those whose two bars cross are cut there into two triangles."""
    bars = shapely.linestrings(corners[:, [0, 3]]), shapely.linestrings(corners[:, [1, 2]])
    crossed = shapely.crosses(*bars)
    plain = shapely.polygons(corners[~crossed]) if (~crossed).any() else np.empty(0, dtype=object)
    found = [np.atleast_1d(plain)]
    for a, b, c, d in corners[crossed]:
        at = shapely.get_coordinates(shapely.intersection(shapely.LineString([a, d]), shapely.LineString([b, c])))[0]
        found.append(np.array([shapely.Polygon([a, b, at]), shapely.Polygon([d, c, at])], dtype=object))
    whole = np.concatenate(found)
    return whole[shapely.area(whole) > 1e-12]
