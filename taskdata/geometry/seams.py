"""Joining chains of points end to end, and pieces of polygons and lines across the antimeridian."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.geometry.arrays import Points
from taskdata.geometry.rings import distinct_count, open_ring, plane_area, started_at

End: TypeAlias = tuple[int, int]
"""The index of a chain, and 0 for its first or -1 for its last point."""


class _Edge(NamedTuple):
    """An edge of a ring along one side of the antimeridian, from point ``first`` to the next."""

    piece: int
    first: int
    side: float
    lats: tuple[float, float]


def stitch_rings(chains: Sequence[Points], links: Mapping[End, End]) -> Iterator[tuple[Points, list[int]]]:
    """Join chains into rings.

    Parameters
    ----------
    chains : sequence of Points
        (k, 2) each; a chain is walked backwards where its last point is linked to the last point of the one before.
    links : mapping of End to End
        For each end of each chain the end that follows it, in both directions.

    Yields
    ------
    ring : Points
        Open, with the ends of the chains repeated where they are one place.
    used : list of int
        The indices of its chains.
    """
    unused = set(range(len(chains)))
    for begin in range(len(chains)):
        if begin not in unused:
            continue
        parts, used, entry = [], [], (begin, 0)
        while entry[0] in unused:
            index, row = entry
            unused.discard(index)
            used.append(index)
            parts.append(chains[index] if row == 0 else chains[index][::-1])
            entry = links[index, -1 if row == 0 else 0]
        yield np.vstack(parts), used


def join_lines(lines: Sequence[Points], tolerance: float) -> list[Points]:
    """Join lines with longitudes in [-180, 180]; see `taskdata.geometry.antimeridian.join_lines`."""
    waiting = dict(enumerate(lines))
    following = _following(lines, tolerance)
    has_previous = set(following.values())
    joined = []
    for begin in [*(index for index in waiting if index not in has_previous), *has_previous]:
        parts, index = [], begin
        while index in waiting:
            parts.append(waiting.pop(index))
            index = following.get(index, -1)
        if parts:
            joined.append(parts[0] if len(parts) == 1 else _without_seams(np.vstack(parts), tolerance, cyclic=False))
    return joined


def join_polygons(pieces: Sequence[tuple[Points, list[Points]]], tolerance: float) -> list[tuple[Points, list[Points]]]:
    """Join open rings with longitudes in [-180, 180]; see `taskdata.geometry.antimeridian.join_polygons`."""
    split = _split_at_each_other([ring for ring, _ in pieces], tolerance)
    edges = [edge for index, ring in enumerate(split) for edge in _edges(index, ring)]
    pairs = _pairs(edges, tolerance)
    matched = sorted({edge for pair in pairs for edge in pair[:2]})
    chains, origins, ends = _chains(split, [edges[index] for index in matched])
    places = {edge: place for place, edge in enumerate(matched)}
    links: dict[End, End] = {}
    for one, other, crossed in pairs:
        for row in (0, 1):
            here, there = ends[places[one], row], ends[places[other], 1 - row if crossed else row]
            links[here], links[there] = there, here
    home = _homes(len(pieces), [(edges[one].piece, edges[other].piece) for one, other, _ in pairs])
    outlines: dict[int, list[Points]] = {}
    for ring, used in stitch_rings(chains, links):
        clean, first = _without_seams(ring, tolerance, cyclic=True), home[origins[used[0]]]
        if distinct_count(clean) > 2:
            outlines.setdefault(first, []).append(started_at(clean, pieces[first][0][0]))
    return [_polygon(pieces, home, first, outlines.get(first, [])) for first in sorted(set(home))]


def _homes(count: int, together: Sequence[tuple[int, int]]) -> list[int]:
    """Return for each of the pieces the first of those it belongs together with."""
    home = list(range(count))
    for one, other in together:
        keep, drop = sorted((home[one], home[other]))
        home = [keep if piece == drop else piece for piece in home]
    return home


def _polygon(
    pieces: Sequence[tuple[Points, list[Points]]], home: Sequence[int], first: int, rings: list[Points]
) -> tuple[Points, list[Points]]:
    """Make one polygon of joined rings, the largest as its outline, and the holes of all the pieces."""
    found = sorted(rings or [pieces[first][0]], key=_size)
    holes = [hole for index, owner in enumerate(home) if owner == first for hole in pieces[index][1]]
    return found[-1], found[:-1] + holes


def _size(ring: Points) -> float:
    return abs(plane_area(ring))


def _along(ring: Points) -> NDArray[np.bool_]:
    """Return for each point whether the edge from it runs along the antimeridian."""
    after = np.roll(ring, -1, axis=0)
    return np.asarray((np.abs(ring[:, 0]) == 180.0) & (after[:, 0] == ring[:, 0]) & (after[:, 1] != ring[:, 1]))


def _split_at_each_other(rings: Sequence[Points], tolerance: float) -> list[Points]:
    """Insert into edges along the antimeridian the latitudes at which edges beyond it begin or end."""
    walls = [ring[along | np.roll(along, 1)] for ring in rings for along in [_along(ring)] if along.any()]
    if not walls:
        return list(rings)
    stops = np.vstack(walls)
    split = []
    for ring in rings:
        parts, start = [], 0
        for index in (int(found) for found in np.flatnonzero(_along(ring))):
            lon, begin, end = ring[index, 0], ring[index, 1], ring[(index + 1) % len(ring), 1]
            inside = np.unique(stops[stops[:, 0] == -lon, 1])
            inside = inside[(inside > min(begin, end) + tolerance) & (inside < max(begin, end) - tolerance)]
            inside = inside if begin < end else inside[::-1]
            parts += [ring[start : index + 1], np.column_stack([np.full(len(inside), lon), inside])]
            start = index + 1
        split.append(np.vstack([*parts, ring[start:]]))
    return split


def _edges(piece: int, ring: Points) -> list[_Edge]:
    """Find the edges along the antimeridian."""
    after = np.roll(ring[:, 1], -1)
    return [
        _Edge(piece, int(index), float(ring[index, 0]), (float(ring[index, 1]), float(after[index])))
        for index in np.flatnonzero(_along(ring))
    ]


def _pairs(edges: Sequence[_Edge], tolerance: float) -> list[tuple[int, int, bool]]:
    """Pair each edge at 180 with one at -180 between the same latitudes; True where they run against each other."""
    free = [index for index, edge in enumerate(edges) if edge.side < 0.0]
    pairs = []
    for index, edge in enumerate(edges):
        for other in free if edge.side > 0.0 else ():
            lats = edges[other].lats
            crossed = _near(edge.lats, lats[::-1], tolerance)
            if crossed or _near(edge.lats, lats, tolerance):
                pairs.append((index, other, crossed))
                free.remove(other)
                break
    return pairs


def _near(one: tuple[float, float], other: tuple[float, float], tolerance: float) -> bool:
    return abs(one[0] - other[0]) <= tolerance and abs(one[1] - other[1]) <= tolerance


def _chains(
    rings: Sequence[Points], edges: Sequence[_Edge]
) -> tuple[list[Points], list[int], dict[tuple[int, int], End]]:
    """Cut rings at their matched edges.

    Returns
    -------
    chains : list of Points
        The points from the end of one edge to the start of the next.
    origins : list of int
        The ring of each chain.
    ends : dict
        The end of a chain at the first (0) and the last (1) point of each edge.
    """
    chains: list[Points] = []
    origins: list[int] = []
    ends: dict[tuple[int, int], End] = {}
    for piece, ring in enumerate(rings):
        own = [index for index, edge in enumerate(edges) if edge.piece == piece]
        for here, after in zip(own, own[1:] + own[:1], strict=True):
            last = edges[after].first + (len(ring) if after <= here else 0)
            ends[here, 1], ends[after, 0] = (len(chains), 0), (len(chains), -1)
            chains.append(ring[np.arange(edges[here].first + 1, last + 1) % len(ring)])
            origins.append(piece)
    return chains, origins, ends


def _following(lines: Sequence[Points], tolerance: float) -> dict[int, int]:
    """Return for each line that goes on beyond the antimeridian the index of the line it goes on with."""
    starts = [index for index, line in enumerate(lines) if len(line) > 1 and abs(line[0, 0]) == 180.0]
    following = {}
    for index, line in enumerate(lines):
        for start in starts if len(line) > 1 and abs(line[-1, 0]) == 180.0 else ():
            head, tail = lines[start][0], line[-1]
            if start != index and head[0] == -tail[0] and abs(head[1] - tail[1]) <= tolerance:
                following[index] = start
                starts.remove(start)
                break
    return following


def _without_seams(points: Points, tolerance: float, *, cyclic: bool) -> Points:
    """Leave out the second of two points that are one place at ±180, and those on a straight line across it."""
    on = np.abs(points[:, 0]) == 180.0
    twice = on & np.roll(on, 1) & (np.abs(points[:, 1] - np.roll(points[:, 1], 1)) <= tolerance)
    twice[0] &= cyclic
    points, on = points[~twice], on[~twice]
    before, after = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
    for side in (before, after):
        side[:, 0] -= 360.0 * np.rint(side[:, 0] / 360.0)
    run = after[:, 0] - before[:, 0]
    straight = on & (before[:, 0] * after[:, 0] < 0.0)
    run[~straight] = 1.0
    offset = before[:, 1] - (after[:, 1] - before[:, 1]) * before[:, 0] / run
    straight &= np.abs(offset) <= tolerance
    if not cyclic:
        straight[[0, -1]] = False
    return open_ring(points[~straight]) if cyclic else points[~straight]
