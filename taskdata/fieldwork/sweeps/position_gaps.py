"""Where positions are missing while sections work, and about how much ground that was."""

from __future__ import annotations

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.sweeps.log_work import LogWork


@dataclass(frozen=True, slots=True)
class Gaps:
    """How often positions were missing while sections worked, for how long in all, and about how much ground then.

    ``unsure_m2`` is what may have been worked besides, by sections that were off before a gap and on after it.
    """

    count: int = 0
    seconds: float = 0.0
    area_m2: float = 0.0
    unsure_m2: float = 0.0


def gaps(work: LogWork) -> Gaps:
    """Return the gaps of what one tool did; their ground is width by time by the usual speed at work."""
    track, seconds = work.track, work.source.values.seconds
    if seconds is None or len(track.kept) < 2:
        return Gaps()
    took = np.diff(seconds, append=seconds[-1])
    wide = np.broadcast_to(np.abs(work.bar.right - work.bar.left), work.strips.left.shape[:2])[:-1]
    owner = np.clip(np.searchsorted(track.kept, np.arange(len(took)), side="right") - 1, 0, len(wide) - 1)
    inside = (np.arange(len(took)) >= track.kept[0]) & (np.arange(len(took)) < track.kept[-1])
    missing = inside & track.broken[owner]
    lost = missing & work.states.on.any(axis=1)
    after = track.kept[np.minimum(owner + 1, len(track.kept) - 1)][missing]
    opened = ((work.states.on[after] & ~work.states.on[missing]) * wide[owner[missing]]).sum(axis=1)
    unsure = float((opened * took[missing]).sum()) * _speed(work)
    width = (work.states.on[lost] * wide[owner[lost]]).sum(axis=1)
    area = float((width * took[lost]).sum()) * _speed(work)
    return Gaps(len(np.unique(owner[lost])), float(took[lost].sum()), area, unsure)


def ends_m2(work: LogWork) -> float:
    """Return the ground that may have been worked before the first record and after the last: an interval each."""
    kept, seconds = work.track.kept, work.track.seconds
    if seconds is None or len(kept) < 2:
        return 0.0
    took = np.diff(seconds[work.track.share == 0.0])
    usual = float(np.median(took[took > 0.0])) if (took > 0.0).any() else 0.0
    wide = np.broadcast_to(np.abs(work.bar.right - work.bar.left), work.strips.left.shape[:2])
    found = sum(float((work.states.on[kept[end]] * wide[end]).sum()) for end in (0, -1))
    return found * usual * _speed(work)


def _speed(work: LogWork) -> float:
    """Return the usual speed at work, m/s."""
    if work.track.seconds is None:
        return 0.0
    timed = float(np.diff(work.track.seconds)[work.working].sum())
    return float(work.steps[work.working].sum()) / timed if timed > 0.0 else 0.0
