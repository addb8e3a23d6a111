"""Distance, time, speed, capacity and field efficiency, in the terms of ASABE EP496 and D497."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.driving.straightness import pass_to_pass
from taskdata.fieldwork.implement import Implement
from taskdata.fieldwork.sweeps.log_work import PAUSE_S, LogWork
from taskdata.fieldwork.sweeps.side_by_side import at_work, width_of
from taskdata.geometry.arrays import Floats
from taskdata.results.driving import PassToPass
from taskdata.results.figures import Figures

_HA_H = 3600.0 / 10_000.0


@dataclass(frozen=True, slots=True)
class Times:
    """Seconds working and not, and from the first work to the last."""

    working: float = 0.0
    idle: float = 0.0
    field: float = 0.0


def theoretical_capacity(width_m: float, speed_m_s: float) -> float:
    """Return the theoretical field capacity in ha/h: km/h x m / 10 (ASABE EP496)."""
    return width_m * speed_m_s * _HA_H


def figures(logs: Sequence[Sequence[LogWork]], worked_m2: float, implement: Implement) -> Figures:
    """Return the figures of one or several logs that worked so much ground; of each log its tools, the widest first."""
    times = [times_of(tools) for tools in logs]
    distance, idle = (sum(way(tools, working=on) for tools in logs) for on in (True, False))
    timed = sum(_timed(tools) for tools in logs)
    working_time, field_time = sum(item.working for item in times), sum(item.field for item in times)
    width = max((width_of(tools) for tools in logs), default=None)
    speed = distance / timed if timed > 0.0 else None
    theoretical = None if width is None or speed is None else theoretical_capacity(width, speed)
    capacity = worked_m2 / field_time * _HA_H if field_time > 0.0 and width is not None else None
    return Figures(
        distance,
        idle,
        working_time,
        sum(item.idle for item in times),
        field_time,
        speed,
        width,
        None if width is None else implement.spacing(width),
        theoretical,
        capacity,
        None if not theoretical or capacity is None else capacity / theoretical,
    )


def way(tools: Sequence[LogWork], *, working: bool) -> float:
    """Return how far the middle of the widest bar went with a tool at work, or without one; breaks do not count."""
    main = tools[0]
    if len(main.steps) == 0:
        return 0.0
    return float(main.steps[(at_work(tools) == working) & ~main.track.broken].sum())


def times_of(tools: Sequence[LogWork]) -> Times:
    """Return the times of a log; long pauses between records do not count."""
    seconds = tools[0].source.values.seconds
    if seconds is None:
        return Times()
    on = np.any([work.states.on.any(axis=1) for work in tools], axis=0)
    took = np.diff(seconds)
    took[took > PAUSE_S] = 0.0
    busy = np.flatnonzero(on[:-1] & (took > 0.0))
    field = float(took[busy[0] : busy[-1] + 1].sum()) if len(busy) else 0.0
    return Times(float(took[on[:-1]].sum()), float(took[~on[:-1]].sum()), field)


def passes(logs: Sequence[Sequence[LogWork]], implement: Implement) -> PassToPass | None:
    """Return the pass-to-pass error of the middle of the widest bar; None without neighbours.

    It counts against the effective width where overlap or skip are given, else against what was set in the cab as the
    log shows it.
    """
    if not logs:
        return None
    mains = [tools[0] for tools in logs]
    timed = all(work.track.seconds is not None for work in mains)
    width = max(width_of(tools) for tools in logs)
    working = [np.append(at_work(tools), False)[: len(tools[0].path)] for tools in logs]
    return pass_to_pass(
        np.concatenate([work.path for work in mains]),
        np.concatenate([_clock(work) for work in mains]) if timed else None,
        np.concatenate(working),
        implement.spacing(width) if implement.overlap_m or implement.skip_m else None,
        width=width,
    )


def _clock(work: LogWork) -> Floats:
    """Return the time at each position in seconds on one clock for all logs."""
    stamps = work.source.records.time
    first = stamps[~np.isnat(stamps)][0].astype("datetime64[ms]").astype(np.int64) / 1000.0
    seconds = work.track.seconds
    return np.empty(0) if seconds is None else np.asarray(seconds + first)


def _timed(tools: Sequence[LogWork]) -> float:
    """Return the time of the way that was worked, where that way is known."""
    seconds = tools[0].track.seconds
    return 0.0 if seconds is None else float(np.diff(seconds)[at_work(tools)].sum())
