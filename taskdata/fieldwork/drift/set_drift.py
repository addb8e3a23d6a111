"""The shift between two sets, and what of it cannot be known.

What both sets have in common is compared first: boundaries, lines and points of the same name. Where that leaves a
direction open, or there is none, the passes that the logs of both drove are compared, each place with the nearest pass;
the shift then has to be smaller than half of what lies between passes. Straight parallel passes say nothing about a
shift along them, and no value is made up for it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike

from taskdata.fieldwork.drift.common_lines import REACH_M, Pair, common, passes_of, plane_of_logs
from taskdata.geometry.alignment import Axis, Shift, estimate
from taskdata.geometry.arrays import Points
from taskdata.geometry.counterparts import Targets, sampled
from taskdata.model.dataset import Dataset
from taskdata.results.shifting import Drift, DriftAxis

DATUM_M = (0.5, 3.0)
"""A shift of this size common to a whole set is probably a difference of datum (common practice)."""

AGREEING = 0.9
"""The share of things that have a shift in common from which it is that of the whole set."""


PASS_REACH_M = 5.0

PASS_STEP_M = 10.0
"""Metres between places of a pass that are compared: a pass errs as a whole rather than from place to place."""

INDEPENDENT_M = 200.0
"""Lines longer than this count as several; what is drawn from one place and a heading or radius never does."""

_LEAST_TOLERANCE_M = 0.05
_STEP_M = 2.0


def estimate_drift(first: Dataset, other: Dataset) -> Drift | None:
    """Estimate the shift that moves ``first`` onto ``other``.

    Returns
    -------
    Drift or None
        None where the sets have nothing in common that lies near enough.
    """
    pairs = common(first, other)
    found = _of_pairs(pairs) if pairs else None
    if found is not None and not found.undetermined_deg:
        return found
    plane = plane_of_logs(first)
    driven = None if plane is None else passes_drift(passes_of(first, plane), passes_of(other, plane))
    if found is None or driven is None:
        return found or driven
    return driven if len(driven.undetermined_deg) < len(found.undetermined_deg) else found


def passes_drift(moving: Sequence[ArrayLike], fixed: Sequence[ArrayLike]) -> Drift | None:
    """Estimate the shift that moves driven passes onto others that were driven on the same lines.

    Parameters
    ----------
    moving, fixed : sequence of array_like
        (n, 2) metres each, in one plane.

    Returns
    -------
    Drift or None
        None where fewer than three places have a pass of the other set near.
    """
    here, there = ([np.asarray(line, dtype=np.float64) for line in lines] for lines in (moving, fixed))
    if not here or not there:
        return None
    reach = min(PASS_REACH_M, 0.49 * _spacing(there))
    shift = estimate(here, there, matched=False, reach=reach, step=PASS_STEP_M)
    return (
        None
        if shift is None
        else _drift(shift, [("pass", len(here))], _share(here, [Targets(there)] * len(here), shift))
    )


def _of_pairs(pairs: Sequence[Pair]) -> Drift | None:
    shift = estimate(
        [pair.moving for pair in pairs],
        [pair.fixed for pair in pairs],
        matched=True,
        reach=REACH_M,
        step=_STEP_M,
        independent=[math.inf if pair.of_one_place else INDEPENDENT_M for pair in pairs],
    )
    if shift is None:
        return None
    words = Counter(pair.kind for pair in pairs)
    return _drift(
        shift,
        sorted(words.items()),
        _share([pair.moving for pair in pairs], [Targets([pair.fixed]) for pair in pairs], shift),
    )


def _drift(shift: Shift, compared: Sequence[tuple[str, int]], share: float) -> Drift:
    joint = _joint(shift)
    size = math.hypot(*shift.vector)
    several = sum(number for _, number in compared) > 1
    return Drift(
        shift.east,
        shift.north,
        None if joint is None or shift.east is None else joint[0],
        None if joint is None or shift.north is None else joint[1],
        shift.vector,
        (_axis(shift.axes[0]), _axis(shift.axes[1])),
        tuple(compared),
        shift.places,
        shift.scatter,
        share,
        several and share >= AGREEING and DATUM_M[0] <= size <= DATUM_M[1],
    )


def _axis(axis: Axis) -> DriftAxis:
    heading = math.degrees(math.atan2(*axis.direction))
    value = axis.value
    if not 0.0 <= heading < 180.0:
        heading, value = heading % 180.0, None if value is None else -value
    return DriftAxis(heading, value, axis.uncertainty)


def _joint(shift: Shift) -> tuple[float, float] | None:
    """Return the uncertainty of east and north together, None where groups are too few.

    Both components of all shifts in the ellipse of Hotelling's T² at 95 %: k² = (n - 1) (0.05^(-2 / (n - 2)) - 1) for
    two components, as the F distribution with two degrees in the numerator has that closed form. With one component
    determined it is Student's t of that.
    """
    known = [axis for axis in shift.axes if axis.value is not None]
    if len(known) == 1:
        half = known[0].uncertainty
        return None if half is None else (half * abs(known[0].direction[0]), half * abs(known[0].direction[1]))
    groups = int(min((axis.groups for axis in known), default=0.0))
    if groups < 3 or not np.isfinite(shift.covariance).all():
        return None
    factor = math.sqrt((groups - 1) * (0.05 ** (-2.0 / (groups - 2)) - 1.0))
    deviations = np.sqrt(np.diag(shift.covariance))
    return factor * float(deviations[0]), factor * float(deviations[1])


def _share(lines: Sequence[Points], targets: Sequence[Targets], shift: Shift) -> float:
    """Return the share of lines of which half lies within the tolerance of their targets once they are shifted."""
    tolerance, agree = max(_LEAST_TOLERANCE_M, 3.0 * shift.scatter), 0
    for line, target in zip(lines, targets, strict=True):
        places, _ = sampled(line, _STEP_M, math.inf)
        moved = places + np.asarray(shift.vector)
        _, _, across = target.normals(moved, target.nearest(moved, REACH_M))
        agree += len(across) > 0 and float(np.median(np.abs(across))) <= tolerance
    return agree / len(lines)


def _spacing(passes: Sequence[Points]) -> float:
    """Return what lies between neighbouring passes: the median distance of their middles from the nearest other."""
    shapes = np.array([shapely.linestrings(line) for line in passes if len(line) > 1], dtype=object)
    if len(shapes) < 2:
        return math.inf
    middles = shapely.line_interpolate_point(shapes, 0.5, normalized=True)
    apart = shapely.distance(middles[:, np.newaxis], shapes[np.newaxis, :])
    np.fill_diagonal(apart, np.inf)
    near = apart.min(axis=1)
    return float(np.median(near))
