"""Chains of cells as passes: the track of the middle of the whole bar, and what of the bar worked along it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.paths import lengths
from taskdata.geometry.swaths.cells import Cells, Indices
from taskdata.geometry.swaths.links import Chain
from taskdata.geometry.swaths.widths import tolerance

_SHIFT_M = 0.05


@dataclass(frozen=True, eq=False)
class Pass:
    """One pass: s places of a bar, and the s - 1 ways between them; where the bar changes, two places are the same.

    Parameters
    ----------
    track : ndarray
        (s, 2) metres: where the middle of the whole bar went.
    left, right : ndarray
        (s, 2) metres: the ends of what worked.
    width, offset : ndarray
        (s,) metres: of what worked, and how far right of the track its middle lay.
    row : ndarray
        (s - 1,) the row that tells of each way, -1 where there is no way.
    """

    track: Points
    left: Points
    right: Points
    width: Floats
    offset: Floats
    row: Indices

    @property
    def parts(self) -> list[slice]:
        """The stretches in which the bar does not change, as places."""
        cuts = [0, *(np.flatnonzero(self.row < 0) + 1).tolist(), len(self.track)]
        return [slice(first, last) for first, last in pairwise(cuts)]

    @property
    def length(self) -> float:
        """Metres along the track."""
        return float(lengths(np.diff(self.track, axis=0)).sum())


def passes_of(chain: Chain, cells: Cells, full_m: float) -> Iterator[Pass]:
    """Yield the passes of a chain: one where the whole bar worked somewhere along it, else one for each width.

    Where sections were off the track goes on in the middle of the whole bar: what worked keeps its place on the bar
    from where the whole bar worked last, or works next.

    Parameters
    ----------
    full_m : float
        The width of the whole bar.
    """
    found = cells.take(chain.cells).turned(chain.back)
    width = found.width
    whole = np.abs(width - full_m) <= tolerance(full_m)
    width = np.where(whole, full_m, width)
    shift = _shifts(found)
    changes = (np.abs(np.diff(width)) > tolerance(full_m)) | (np.abs(shift) > _shift_limit(width))
    if whole.any():
        yield _pass(found, width, _offsets(shift, whole, full_m - width), changes)
        return
    cuts = [0, *(np.flatnonzero(changes) + 1).tolist(), len(width)]
    for first, last in pairwise(cuts):
        part = slice(first, last)
        same = np.full(last - first, float(np.average(width[part], weights=found.length[part] + 1e-9)))
        none = np.zeros(last - first)
        yield _pass(found.take(part), same, none, np.zeros(last - first - 1, dtype=np.bool_))


def _shift_limit(width: Floats) -> Floats:
    """Return by how far the middle may jump from cell to cell with the bar unchanged."""
    return np.maximum(_SHIFT_M, 0.05 * np.minimum(width[1:], width[:-1]))


def _shifts(cells: Cells) -> Floats:
    """Return by how far right the middle of the bar jumps from each cell to the next, (m - 1,)."""
    bars = cells.end[:-1], cells.start[1:]
    across = np.mean([bar[:, 1] - bar[:, 0] for bar in bars], axis=0)
    unit = across / np.maximum(lengths(across), 1e-9)[:, np.newaxis]
    return np.asarray(((bars[1].mean(axis=1) - bars[0].mean(axis=1)) * unit).sum(axis=1))


def _offsets(shift: Floats, whole: NDArray[np.bool_], room: Floats) -> Floats:
    """Return how far right of the middle of the whole bar the middle of each cell lies."""
    places = np.concatenate([[0.0], np.cumsum(shift)])
    at = np.flatnonzero(whole)
    before = at[np.maximum(np.searchsorted(at, np.arange(len(whole)), side="right") - 1, 0)]
    half = np.maximum(room, 0.0) / 2.0
    return np.where(whole, 0.0, np.clip(places - places[before], -half, half))


def _pass(cells: Cells, width: Floats, offset: Floats, changes: NDArray[np.bool_]) -> Pass:
    """Return the places of the bar: one between cells that go on unchanged, two where the bar changes."""
    ends = np.concatenate([changes, [True]])
    opening = np.array(cells.start)
    opening[1:] = np.where(changes[:, np.newaxis, np.newaxis], opening[1:], (cells.end[:-1] + cells.start[1:]) / 2.0)
    count = len(cells.row)
    rank = np.concatenate([2 * np.arange(count), 2 * np.flatnonzero(ends) + 1])
    order = np.argsort(rank, kind="stable")
    bars = np.concatenate([opening, cells.end[ends]])[order]
    source = np.concatenate([np.arange(count), np.flatnonzero(ends)])[order]
    closing = np.concatenate([np.zeros(count, dtype=np.bool_), np.ones(int(ends.sum()), dtype=np.bool_)])[order]
    across = bars[:, 1] - bars[:, 0]
    unit = across / np.maximum(lengths(across), 1e-9)[:, np.newaxis]
    track = bars.mean(axis=1) - offset[source][:, np.newaxis] * unit
    way = np.where(closing[:-1], -1, cells.row[source[:-1]])
    return Pass(track, bars[:, 0], bars[:, 1], width[source], offset[source], way)
