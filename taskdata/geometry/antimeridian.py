"""Cutting at the antimeridian and joining again (RFC 7946 section 3.1.9).

Cut geometry has all longitudes in [-180, 180], and no edge crosses ±180. Whole geometry crosses where consecutive
longitudes jump by more than 180 degrees, or run past ±180. Edges are straight in longitude and latitude, as RFC 7946
has it, so that cuts lie at linearly interpolated latitudes. Source points keep their exact coordinates (a longitude
that ran past ±180 comes back by a whole turn); a point on the antimeridian gets the sign of the side it is used on.

A ring round a pole is cut open at the antimeridian and closed along it over the pole, by the points (±180, pole), with
the pole on the side of the equator where the mean of its outline lies. Joining undoes this too. A box of the whole
width of the Earth needs points in between, since its ends at -180 and 180 are one place. A ring or a line with a
coordinate that is not a finite number is not cut. Where a hole touches its outline, which cut and joined pieces cannot
always express, the area stays right, but a piece may touch itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.geometry import seams
from taskdata.geometry.arrays import Floats, Points, as_points
from taskdata.geometry.holes import group
from taskdata.geometry.rings import close, distinct_count, open_ring, orient, plane_area, started_at, wrap

Polygon: TypeAlias = tuple[Points, list[Points]]
"""An exterior ring and its interior rings, each (n, 2) degrees."""


def crosses(points: ArrayLike) -> bool:
    """Return whether a line, or a closed ring, jumps by more than 180 degrees or runs past ±180."""
    lon = as_points(points)[:, 0]
    lon = lon[np.isfinite(lon)]
    return bool((np.abs(lon) > 180.0).any() or (np.abs(np.diff(lon)) > 180.0).any())


def cut_line(line: ArrayLike) -> list[Points]:
    """Cut a line at the antimeridian.

    Parameters
    ----------
    line : array_like
        (n, 2) degrees.

    Returns
    -------
    list of Points
        The parts in order, each (k, 2) degrees; one part where the line does not cross.
    """
    points = _settled(wrap(line), cyclic=False)
    if not np.isfinite(points).all():
        return [points]
    jumps = np.flatnonzero(np.abs(np.diff(points[:, 0])) > 180.0)
    parts, head, start = [], np.empty((0, 2)), 0
    for jump in jumps:
        tail, next_head = _crossing(points[jump], points[jump + 1])
        parts.append(_without_repeats(np.vstack([head, points[start : jump + 1], tail])))
        head, start = next_head, int(jump) + 1
    parts.append(_without_repeats(np.vstack([head, points[start:]])) if len(jumps) else points)
    return [part for part in parts if len(part) > 1] or [points]


def cut_polygon(exterior: ArrayLike, interiors: Iterable[ArrayLike] = ()) -> list[Polygon]:
    """Cut a polygon at the antimeridian.

    Parameters
    ----------
    exterior : array_like
        (n, 2) degrees, open or closed.
    interiors : iterable of array_like
        The same for each hole.

    Returns
    -------
    list of Polygon
        The pieces, rings closed, the piece with the first point of the source first. Where nothing crosses it is the
        polygon itself. Directions are kept where the source is a valid polygon.
    """
    outline = _prepared(exterior)
    holes = [_prepared(ring) for ring in interiors]
    if not _jumps(outline):
        loose = [part for hole in holes for part in (_cut_rings(hole, []) if _jumps(hole) else [hole])]
        return [(close(outline), [close(hole) for hole in loose])]
    reaching = [hole for hole in holes if _reaches(hole)]
    pieces = group(_cut_rings(outline, reaching), [hole for hole in holes if not _reaches(hole)]).groups
    return [(close(ring), [close(hole) for hole in inside]) for ring, inside in pieces]


def join_lines(lines: Sequence[ArrayLike], tolerance: float = 1e-9) -> list[Points]:
    """Join parts of lines where one ends at the antimeridian and another begins at the same latitude beyond it.

    Parameters
    ----------
    lines : sequence of array_like
        (n, 2) degrees each.
    tolerance : float
        Degrees by which latitudes may differ; 1e-9 is 0.1 mm.

    Returns
    -------
    list of Points
        Lines with longitudes in [-180, 180] that jump at the antimeridian. The point of the cut is left out where it is
        on the straight line between its neighbours.
    """
    return seams.join_lines([wrap(line) for line in lines], tolerance)


def join_polygons(polygons: Sequence[tuple[ArrayLike, Iterable[ArrayLike]]], tolerance: float = 1e-9) -> list[Polygon]:
    """Join pieces of polygons that share an edge on the antimeridian.

    Parameters
    ----------
    polygons : sequence of (exterior, interiors)
        Rings of (n, 2) degrees, open or closed.
    tolerance : float
        Degrees by which latitudes may differ; 1e-9 is 0.1 mm.

    Returns
    -------
    list of Polygon
        Rings closed, with longitudes in [-180, 180] that jump at the antimeridian
        (`taskdata.geometry.rings.unwrap` makes them continuous). Points of the cut are left out where they are on the
        straight line between their neighbours. Pieces without a counterpart stay as they are.
    """
    pieces = [(open_ring(wrap(exterior)), [open_ring(wrap(ring)) for ring in inside]) for exterior, inside in polygons]
    joined = seams.join_polygons(pieces, tolerance)
    return [(close(exterior), [close(ring) for ring in inside]) for exterior, inside in joined]


def _prepared(ring: ArrayLike) -> Points:
    return _settled(wrap(open_ring(ring)), cyclic=True)


def _settled(points: Points, *, cyclic: bool) -> Points:
    """Give each point on the antimeridian the sign of the point before it, so that touching is not crossing."""
    on = np.abs(points[:, 0]) == 180.0
    if not on.any() or on.all():
        return points
    known = np.flatnonzero(~on)
    previous = np.maximum.accumulate(np.where(on, -1, np.arange(len(points))))
    previous[previous < 0] = known[-1] if cyclic else known[0]
    sign = np.sign(points[previous, 0])
    settled = points.copy()
    change = on & (sign != 0.0)
    settled[change, 0] = 180.0 * sign[change]
    return settled


def _jumps(ring: Points) -> bool:
    return bool(np.isfinite(ring).all() and (np.abs(_steps(ring)) > 180.0).any())


def _steps(ring: Points) -> Floats:
    return np.asarray(np.roll(ring[:, 0], -1) - ring[:, 0])


def _crossing(before: Floats, after: Floats) -> tuple[Points, Points]:
    """Return the place where an edge crosses, as (1, 2) on the side of its start and on that of its end."""
    side = 180.0 if before[0] > after[0] else -180.0
    run = after[0] + 2.0 * side - before[0]
    share = (side - before[0]) / run if run else 0.0
    lat = before[1] + share * (after[1] - before[1]) if share < 1.0 else after[1]
    return np.array([[side, lat]]), np.array([[-side, lat]])


def _at_wall(points: Points) -> NDArray[np.bool_]:
    return np.asarray(np.abs(points[:, 0]) == 180.0)


def _reaches(hole: Points) -> bool:
    """Return whether a hole takes part in the cut; one that touches at a single place stays a hole of one piece."""
    return _jumps(hole) or len(np.unique(hole[_at_wall(hole), 1])) > 1


def _cut_rings(outline: Points, holes: Sequence[Points]) -> list[Points]:
    """Cut the outline of a polygon, with its holes that reach the antimeridian, into the outlines of its pieces."""
    chains = [
        chain for ring in (orient(outline), *(orient(hole, ccw=False) for hole in holes)) for chain in _chains(ring)
    ]
    if sum(int(chain[row, 0] > 0.0) for chain in chains for row in (0, -1)) % 2:
        pole = 90.0 if outline[:, 1].mean() >= 0.0 else -90.0
        chains.append(np.array([[2.0 * pole, pole], [-2.0 * pole, pole]]))
    links: dict[seams.End, seams.End] = {}
    for side in (180.0, -180.0):
        for one, other in _pairs(chains, side):
            links[one], links[other] = other, one
    cut = [_without_repeats(ring, cyclic=True) for ring, _ in seams.stitch_rings(chains, links)]
    cut = [started_at(ring, outline[0]) for ring in cut if distinct_count(ring) > 2 and plane_area(ring) != 0.0]
    cut.sort(key=lambda ring: not np.array_equal(ring[0], outline[0]))
    forwards = plane_area(outline) >= 0.0
    return cut if forwards else [np.vstack([ring[:1], ring[:0:-1]]) for ring in cut]


def _chains(ring: Points) -> list[Points]:
    """Cut a ring into chains from antimeridian to antimeridian, without its edges along it.

    A point inside a run along the antimeridian becomes a chain of no length, so that it is not lost.
    """
    following = np.roll(ring, -1, axis=0)
    parts, start = [], 0
    for jump in (int(index) for index in np.flatnonzero(np.abs(_steps(ring)) > 180.0)):
        parts += [ring[start : jump + 1], *_crossing(ring[jump], following[jump])]
        start = jump + 1
    points = np.vstack([*parts, ring[start:]])
    stops = np.flatnonzero(_at_wall(points))
    lengths = np.diff(stops, append=stops[0] + len(points))
    chains = []
    for stop, length, before in zip(stops, lengths, np.roll(lengths, 1), strict=True):
        if length > 1:
            chains.append(points[np.arange(stop, stop + length + 1) % len(points)])
        elif before == 1:
            chains.append(points[[stop, stop]])
    return chains


def _pairs(chains: Sequence[Points], side: float) -> list[tuple[seams.End, seams.End]]:
    """Pair the ends of chains on one side from south to north, so that the polygon lies between the two of a pair.

    With the polygon on the left of its rings, chains arrive and depart in turn; that orders ends at one latitude.
    """
    ends = [(float(chain[row, 1]), (index, row)) for index, chain in enumerate(chains) for row in (0, -1)]
    ends = sorted(end for end in ends if chains[end[1][0]][end[1][1], 0] == side)
    wanted, ordered = -1 if side > 0.0 else 0, list[seams.End]()
    while ends:
        level = [end for end in ends[: _level(ends)] if end[1][1] == wanted]
        chosen = level[0] if level else ends[0]
        ends.remove(chosen)
        ordered.append(chosen[1])
        wanted = -1 - wanted
    return list(zip(ordered[::2], ordered[1::2], strict=True))


def _level(ends: Sequence[tuple[float, seams.End]]) -> int:
    """Return how many of the first ends lie at one latitude."""
    return next((count for count, end in enumerate(ends) if end[0] != ends[0][0]), len(ends))


def _without_repeats(points: Points, *, cyclic: bool = False) -> Points:
    keep = np.ones(len(points), dtype=np.bool_)
    keep[1:] = (points[1:] != points[:-1]).any(axis=1)
    points = points[keep]
    return open_ring(points) if cyclic else points
