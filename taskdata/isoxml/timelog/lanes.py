"""The chain of records of a large stretch, walked in many lanes side by side.

Where a record starts is known only from the record before it, but a chain that starts at a wrong byte meets the true
one before long, and from there on both are the same. So each lane begins where a start is likely, all of them step
forward together, and the true chain is put together afterwards: it takes over what a lane walked from the first offset
that both have. Nothing rests on the guess: where a lane never meets the chain, the chain is walked step by step.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from taskdata.isoxml.binary.flat_bytes import Octets

SEGMENT = 1 << 15
MOST_LANES = 1 << 10
PROBE = 64
_TRIAL = 16
_MOST_CANDIDATES = 512
_FEW = 8


def chain(counts: Octets, steps: NDArray[np.int64], segment: int = SEGMENT) -> NDArray[np.int64]:
    """Return the offsets of all records that start in a stretch, the first of them at its first byte.

    Parameters
    ----------
    counts : array of uint8 (n,)
        The count of values of a record that would start at each offset.
    steps : array of int64 (256,)
        Bytes of a record by its count of values.
    segment : int
        Bytes between the beginnings of two lanes, at least.
    """
    segments = min(max(1, counts.size // segment), MOST_LANES)
    between = counts.size // segments
    walked, lengths = _lanes(counts, steps, _likely(counts, steps, segments))
    by_count = steps.tolist()
    found: list[NDArray[np.int64]] = []
    at = 0
    while at < counts.size:
        lane = min(at // between, segments - 1)
        row = walked[lane, : lengths[lane]]
        end = counts.size if lane == segments - 1 else (lane + 1) * between
        alone, at = _alone(counts, by_count, at, row, end)
        found.append(np.array(alone, dtype=np.int64))
        here = _place(row, at)
        if here is not None:
            found.append(row[here:].astype(np.int64))
            at = int(row[-1]) + by_count[counts[row[-1]]]
    return np.concatenate(found)


def _alone(counts: Octets, steps: list[int], at: int, row: NDArray[np.int32], end: int) -> tuple[list[int], int]:
    """Walk step by step to where a lane came too, at most to the end; return the offsets before it, and it."""
    alone = []
    first = min(int(row[0]), end)
    while at < first:
        alone.append(at)
        at += steps[counts[at]]
    if at < end and _place(row, at) is None:
        known = set(row.tolist())
        while at < end and at not in known:
            alone.append(at)
            at += steps[counts[at]]
    return alone, at


def _place(row: NDArray[np.int32], at: int) -> int | None:
    """Return the place of an offset in a row of ascending ones, None where it is not there."""
    here = int(row.searchsorted(at))
    return here if here < row.size and row[here] == at else None


def _likely(counts: Octets, steps: NDArray[np.int64], segments: int) -> NDArray[np.int64]:
    """Return an offset for each segment, (segments,), at which a record is likely to start.

    A chain that starts wrongly takes bytes of any kind for counts and strides far: that which strides least is chosen.
    """
    at, longest = 0, 0
    for _ in range(PROBE):
        if at >= counts.size:
            break
        longest = max(longest, int(steps[counts[at]]))
        at += int(steps[counts[at]])
    between = counts.size // segments
    first = np.arange(segments, dtype=np.int64) * between
    starts = first[:, np.newaxis] + np.arange(min(longest, between, _MOST_CANDIDATES))
    ends = starts
    for _ in range(_TRIAL):
        ends = ends + steps[counts.take(ends, mode="clip")]
    chosen: NDArray[np.int64] = first + ends.argmin(axis=1)
    chosen[0] = 0
    return chosen


def _lanes(
    counts: Octets, steps: NDArray[np.int64], at: NDArray[np.int64]
) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    """Walk all lanes until nearly all have come to the next one.

    Returns
    -------
    array of int32 (lanes, most), and array of int64 (lanes,)
        Offsets that each lane came to, and how many of them lie in the stretch.
    """
    limit = np.append(at[1:], counts.size)
    rows: list[NDArray[np.int32]] = []
    while np.count_nonzero(at < limit) > at.size // _FEW:
        some = np.empty((PROBE, at.size), dtype=np.int32)
        for row in some:
            row[:] = at
            at = at + steps[counts.take(at, mode="clip")]
        rows.append(some)
    walked = np.ascontiguousarray(np.concatenate(rows).T)
    return walked, np.count_nonzero(walked < counts.size, axis=1)
