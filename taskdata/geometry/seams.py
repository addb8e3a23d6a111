"""Joining chains of points end to end, and pieces of polygons and lines across the antimeridian."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple, TypeAlias

import numpy as np

from taskdata.geometry.arrays import Points
from taskdata.geometry.rings import distinct_count, open_ring, plane_area, started_at

End: TypeAlias = tuple[int, int]
"""The index of a chain, and 0 for its first or -1 for its last point."""


class _Run(NamedTuple):
    """Consecutive points of a ring on one side of the antimeridian, at least two of them."""

    piece: int
    first: int
    last: int
    side: float
    lats: tuple[float, float]


def follow(chains: Sequence[Points], links: Mapping[End, End]) -> Iterator[tuple[Points, list[int]]]:
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
    runs = [run for index, (ring, _) in enumerate(pieces) for run in _runs(index, ring)]
    pairs = _pairs(runs, tolerance)
    matched = sorted({run for pair in pairs for run in pair[:2]})
    if not matched:
        return list(pieces)
    chains, origins, ends = _chains(pieces, [runs[index] for index in matched])
    places = {run: place for place, run in enumerate(matched)}
    links: dict[End, End] = {}
    for one, other, crossed in pairs:
        for row in (0, 1):
            here, there = ends[places[one], row], ends[places[other], 1 - row if crossed else row]
            links[here], links[there] = there, here
    home = _homes(len(pieces), [(runs[one].piece, runs[other].piece) for one, other, _ in pairs])
    outlines: dict[int, list[Points]] = {}
    for ring, used in follow(chains, links):
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


def _runs(piece: int, ring: Points) -> list[_Run]:
    """Find the runs of at least two consecutive points on one side of the antimeridian."""
    sides = np.where(np.abs(ring[:, 0]) == 180.0, ring[:, 0], 0.0)
    starts = np.flatnonzero((sides != 0.0) & (np.roll(sides, 1) != sides))
    found, count = [], len(ring)
    for first in (int(start) for start in starts):
        last = first
        while sides[(last + 1) % count] == sides[first]:
            last += 1
        if last > first:
            lats = (float(ring[first, 1]), float(ring[last % count, 1]))
            found.append(_Run(piece, first, last, float(sides[first]), lats))
    return found


def _pairs(runs: Sequence[_Run], tolerance: float) -> list[tuple[int, int, bool]]:
    """Pair each run at 180 with a run at -180 between the same latitudes; True where they run against each other."""
    free = [index for index, run in enumerate(runs) if run.side < 0.0]
    pairs = []
    for index, run in enumerate(runs):
        for other in free if run.side > 0.0 else ():
            lats = runs[other].lats
            crossed = _near(run.lats, lats[::-1], tolerance)
            if crossed or _near(run.lats, lats, tolerance):
                pairs.append((index, other, crossed))
                free.remove(other)
                break
    return pairs


def _near(one: tuple[float, float], other: tuple[float, float], tolerance: float) -> bool:
    return abs(one[0] - other[0]) <= tolerance and abs(one[1] - other[1]) <= tolerance


def _chains(
    pieces: Sequence[tuple[Points, list[Points]]], runs: Sequence[_Run]
) -> tuple[list[Points], list[int], dict[tuple[int, int], End]]:
    """Cut outlines at their matched runs.

    Returns
    -------
    chains : list of Points
        The points from the end of one run to the start of the next.
    origins : list of int
        The piece of each chain.
    ends : dict
        The end of a chain at the first (0) and the last (1) point of each run.
    """
    chains: list[Points] = []
    origins: list[int] = []
    ends: dict[tuple[int, int], End] = {}
    for piece, (ring, _) in enumerate(pieces):
        own = [index for index, run in enumerate(runs) if run.piece == piece]
        for here, after in zip(own, own[1:] + own[:1], strict=True):
            last = runs[after].first + (len(ring) if after <= here else 0)
            ends[here, 1], ends[after, 0] = (len(chains), 0), (len(chains), -1)
            chains.append(ring[np.arange(runs[here].last, last + 1) % len(ring)])
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
