"""Ribbons: simple polygons that together sweep what strips sweep, many quadrilaterals each.

A ribbon takes a block of neighbouring strips over successive intervals in which they all go forwards, or all backwards.
The outlines of its quadrilaterals, added up, are its own outline, because common edges cancel. Hence where its outline
is simple, each place inside lies in exactly one of the quadrilaterals and no place outside lies in any: a ribbon stands
for its quadrilaterals exactly, with nothing counted twice. An outline that is not simple, of a turn that folds or a
loop that closes, is halved until it is.
"""

from __future__ import annotations

from typing import Any, NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry import sweeps
from taskdata.geometry.sweeps import Quads, Strips

Shapes: TypeAlias = NDArray[Any]
"""(m,) array of shapely geometries."""

Indices: TypeAlias = NDArray[np.intp]


class _Blocks(NamedTuple):
    """Intervals ``first`` to ``last`` and strips ``left`` to ``right``, ends included, (m,) each."""

    first: Indices
    last: Indices
    left: Indices
    right: Indices

    def take(self, chosen: NDArray[Any]) -> _Blocks:
        return _Blocks(*(column[chosen] for column in self))


def ribbons(strips: Strips, motion: NDArray[np.int8] | None = None, *, merge: bool | None = None) -> Shapes:
    """Return the ribbons of strips.

    Parameters
    ----------
    strips : Strips
    motion : ndarray, optional
        The table of `sweeps.motions`, where it is known already.
    merge : bool, optional
        True joins neighbouring strips that do the same, False makes ribbons of single strips. Left out, the way is
        taken that gives fewer edges in all: joined strips on ordinary work, single strips where states flicker.

    Returns
    -------
    ndarray
        (m,) valid polygons; each stands for quadrilaterals that do not overlap.
    """
    motion = sweeps.motions(strips) if motion is None else motion
    blocks = _blocks(strips, motion, merge=merge is not False)
    if merge is None and _edge_count(blocks) > _single_edge_count(motion):
        blocks = _blocks(strips, motion, merge=False)
    parts, uncertain = [], blocks
    while len(uncertain.first):
        shapes = _polygons(strips, uncertain)
        valid = shapely.is_valid(shapes)
        parts.append(shapes[valid])
        broken = uncertain.take(~valid)
        single_quads = (broken.first == broken.last) & (broken.left == broken.right)
        parts.append(_repaired(shapes[~valid][single_quads]))
        uncertain = _halved(broken.take(~single_quads))
    parts.append(polygons(sweeps.folds(strips, motion).quads))
    return np.concatenate(parts)


def polygons(quads: Quads) -> Shapes:
    """Return a polygon for each of (m, 4, 2) quadrilaterals."""
    return np.asarray(shapely.polygons(np.concatenate([quads, quads[:, :1]], axis=1)), dtype=object).reshape(-1)


def outlines(quads: Quads) -> Shapes:
    """Return the ground that (m, 4, 2) outlines go round, valid polygons; one that crosses itself gives its parts."""
    found = polygons(quads)
    valid = shapely.is_valid(found)
    return np.concatenate([found[valid], _repaired(found[~valid])])


def broad_quads(strips: Strips, motion: NDArray[np.int8] | None = None) -> Quads:
    """Return (m, 4, 2) what strips sweep from record to record, one quadrilateral for neighbours that do the same.

    They cover the same ground as often as the `pieces` of the strips, in fewer parts.
    """
    motion = sweeps.motions(strips) if motion is None else motion
    interval, left, right = _runs(strips, motion, merge=True)
    after = interval + 1
    corners = [strips.right[interval, right], strips.right[after, right]]
    corners += [strips.left[after, left], strips.left[interval, left]]
    quads = np.stack(corners, axis=1)
    back = motion[interval, left] == sweeps.BACKWARDS
    quads[back] = quads[back, ::-1]
    return np.concatenate([quads, sweeps.folds(strips, motion).quads])


def _runs(strips: Strips, motion: NDArray[np.int8], *, merge: bool) -> tuple[Indices, Indices, Indices]:
    """Return interval, first and last strip of neighbours that do the same, or of each strip on its own."""
    simple = sweeps.is_simple(motion)
    linked = np.zeros((motion.shape[0], max(motion.shape[1] - 1, 0)), dtype=np.bool_)
    if merge:
        meets = sweeps.equal(strips.left[:, 1:], strips.right[:, :-1])
        linked = meets[1:] & meets[:-1] & (motion[:, 1:] == motion[:, :-1])
    edge = np.ones((motion.shape[0], 1), dtype=np.bool_)
    interval, left = np.nonzero(simple & np.hstack([edge, ~linked])[:, : motion.shape[1]])
    _, right = np.nonzero(simple & np.hstack([~linked, edge])[:, : motion.shape[1]])
    return interval, left, right


def _blocks(strips: Strips, motion: NDArray[np.int8], *, merge: bool) -> _Blocks:
    """Return blocks that are as long as the same strips do the same."""
    interval, left, right = _runs(strips, motion, merge=merge)
    if len(interval) == 0:
        return _Blocks(interval, interval, left, right)
    records, width = motion.shape
    kind = (motion[interval, left].astype(np.int64) * width + left) * width + right
    order = np.sort(kind * records + interval)
    kind, interval = np.divmod(order, records)
    ends = np.append(np.flatnonzero((kind[1:] != kind[:-1]) | (interval[1:] != interval[:-1] + 1)), len(order) - 1)
    starts = np.concatenate([[0], ends[:-1] + 1])
    rest, right = np.divmod(kind[starts], width)
    return _Blocks(*(column.astype(np.intp) for column in (interval[starts], interval[ends], rest % width, right)))


def _edge_count(blocks: _Blocks) -> int:
    return int((2 * (blocks.last - blocks.first + 2 + blocks.right - blocks.left)).sum())


def _single_edge_count(motion: NDArray[np.int8]) -> int:
    """Return how many edges the blocks of single strips have."""
    simple = sweeps.is_simple(motion)
    begins = np.count_nonzero(simple[:1]) + np.count_nonzero(simple[1:] & (motion[1:] != motion[:-1]))
    return 2 * int(np.count_nonzero(simple) + begins)


def _polygons(strips: Strips, blocks: _Blocks) -> Shapes:
    """Return the outline of each block: right edge, bar at the end, left edge back, bar at the start.

    The edges of all strips of the block are corners of its bars, so that blocks which meet at a bar have common edges.
    """
    records, width = strips.left.shape[:2]
    places = np.concatenate([strips.left.reshape(-1, 2), strips.right.reshape(-1, 2)])
    along, across = blocks.last - blocks.first + 2, blocks.right - blocks.left
    starts = np.stack(
        [
            (records + blocks.first) * width + blocks.right,
            (blocks.last + 1) * width + blocks.right,
            (blocks.last + 1) * width + blocks.left,
            blocks.first * width + blocks.left + 1,
        ],
        axis=1,
    ).ravel()
    steps = np.tile([width, -1, -width, 1], len(along))
    counts = np.stack([along, across, along, across], axis=1).ravel()
    offsets = np.arange(counts.sum()) - np.repeat(np.cumsum(counts) - counts, counts)
    taken = np.repeat(starts, counts) + np.repeat(steps, counts) * offsets
    owner = np.repeat(np.arange(len(along)), 2 * (along + across))
    return np.asarray(shapely.polygons(shapely.linearrings(places[taken], indices=owner)), dtype=object)


def _halved(blocks: _Blocks) -> _Blocks:
    """Return each block as two, cut between intervals, or between strips where it is one interval."""
    long = blocks.last > blocks.first
    middle = np.where(long, (blocks.first + blocks.last) // 2, blocks.last)
    centre = np.where(long, blocks.right, (blocks.left + blocks.right) // 2)
    front = _Blocks(blocks.first, middle, blocks.left, centre)
    rest = _Blocks(
        np.where(long, middle + 1, blocks.first), blocks.last, np.where(long, blocks.left, centre + 1), blocks.right
    )
    return _Blocks(*(np.concatenate(columns) for columns in zip(front, rest, strict=True)))


def _repaired(shapes: Shapes) -> Shapes:
    """Return the polygons in quadrilaterals whose fold is too small to be seen in their corners."""
    parts = shapely.get_parts(shapely.get_parts(shapely.make_valid(shapes)))
    return np.asarray(parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON], dtype=object)
