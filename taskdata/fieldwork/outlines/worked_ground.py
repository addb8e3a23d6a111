"""The ground that a job worked, by the width of its implement or by the spacing of its passes."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.fieldwork.implement import Settings
from taskdata.fieldwork.logs.tracks import track
from taskdata.fieldwork.machine.section_states import Basis
from taskdata.fieldwork.sweeps.ground_cover import SweptGround
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.fieldwork.sweeps.operations import operations_of
from taskdata.fieldwork.sweeps.sources import Job
from taskdata.fieldwork.uncertainty.edge_doubts import BEST_M, position_m
from taskdata.geometry.arrays import Points
from taskdata.geometry.loops import only_polygons
from taskdata.geometry.pass_spacing import spacing
from taskdata.geometry.paths import lengths
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.slivers import closed, opened

GAP_WIDTHS = 1.2
"""Widths up to which gaps and notches between passes are closed."""

_TWO_PASSES = 1.2
"""Ground narrower than so many widths is one pass: where nothing tells work from driving it is a lane."""

_SIDES = 2.0
"""Standard deviations that a position lies off in 95 of 100 cases."""


@dataclass(frozen=True, eq=False)
class WorkedGround:
    """What a job worked.

    Parameters
    ----------
    shape : shapely geometry
        In metres of the plane.
    width_m : float
        Of the implement, or the spacing of its passes.
    edge_m : float
        By how much its edge may lie off.
    source : str
        What tells the width, in words.
    """

    shape: Any
    width_m: float
    edge_m: float
    source: str


def worked_ground(job: Job, plane: LocalPlane) -> WorkedGround | None:
    """Return what a job worked, None where nothing tells how wide.

    The width is that of the implement; where none is described, half the spacing of neighbouring passes counts as
    worked to each side of the track. Where nothing tells work from driving, ground that only one pass covers is left
    out.
    """
    operations, _ = operations_of(job.sources, plane, Settings())
    works = [work for operation in operations for tools in operation.logs for work in tools]
    found = _swept(works, plane) if works else _beside_the_track(job, plane)
    return None if found is None or shapely.is_empty(found.shape) else found


def _swept(works: list[LogWork], plane: LocalPlane) -> WorkedGround:
    width = max(work.bar.width for work in works)
    shape = SweptGround(works, plane, None, None).worked
    if all(work.states.basis is Basis.ALWAYS for work in works):
        shape = _without_lanes(shape, width)
    steps = np.concatenate([work.steps[work.working] for work in works])
    edge = _SIDES * max(position_m(work) for work in works) + _end_m(steps)
    return WorkedGround(shape, width, edge, f"what a width of {width:.2f} m worked")


def _beside_the_track(job: Job, plane: LocalPlane) -> WorkedGround | None:
    stretches: list[Points] = []
    for source in job.sources:
        path = track(source.values, plane, Settings().heading_over_m, continuous=source.continuous)
        stretches += [part for part in np.split(path.path, np.flatnonzero(path.broken) + 1) if len(part) > 1]
    found = spacing(stretches)
    if found is None:
        return None
    lines = shapely.union_all([shapely.LineString(part) for part in stretches])
    strips = shapely.buffer(lines, found.metres / 2.0, cap_style="flat", join_style="round")
    steps = np.concatenate([lengths(np.diff(part, axis=0)) for part in stretches])
    edge = _SIDES * BEST_M + _end_m(steps) + found.spread_m / 2.0
    shape = _without_lanes(only_polygons(strips), found.metres)
    told = f"half the spacing of {found.metres:.2f} m to each side of the track"
    return WorkedGround(shape, found.metres, edge, told)


def _without_lanes(ground: Any, width_m: float) -> Any:
    """Return ground without what only one pass covers; passes that nearly meet are one piece."""
    wide = opened(closed(ground, GAP_WIDTHS * width_m), _TWO_PASSES * width_m)
    return only_polygons(shapely.intersection(ground, wide))


def _end_m(steps: Points) -> float:
    """Return by how much the edge lies off for not knowing where between two records work began and ended.

    Half a step at the ends of passes, which are about half of the outline.
    """
    return float(np.median(steps)) / 4.0 if len(steps) else 0.0
