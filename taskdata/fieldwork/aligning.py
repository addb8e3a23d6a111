"""A robust shift that is found also where most of what is compared runs along it.

The estimate of `taskdata.geometry.alignment` begins at no shift, with a scale taken from the median of the residuals.
Where a shift runs along most of the lines, that median is next to nothing, and the lines across, which alone tell of
it, would be taken for strangers. So the sets are brought together first, with a scale that begins at the reach and is
halved round by round (graduated non-convexity, Blake and Zisserman 1987).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from taskdata.geometry.alignment import Axis, Shift, estimate
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.counterparts import Residuals, Targets, gathered, sampled

THRESHOLD = 0.01
"""Least share of what is compared that has to run across a direction, as eigenvalue (see `estimate`)."""

_BIWEIGHT = 4.685
_FINEST_M = 1e-3
_ALL_ONE = np.inf


def aligned(
    moving: Sequence[Points], fixed: Sequence[Points], *, matched: bool, reach: float, step: float
) -> Shift | None:
    """Return the shift that moves a set of lines onto another; parameters and result as of `estimate`."""
    first = _together(moving, fixed, matched=matched, reach=reach, step=step)
    if first is None:
        return None
    shift = estimate(
        [line + first for line in moving], fixed, matched=matched, reach=reach, step=step, threshold=THRESHOLD
    )
    if shift is None:
        return None
    axes = tuple(_further(axis, first) for axis in shift.axes)
    return replace(shift, axes=(axes[0], axes[1]))


def _together(
    moving: Sequence[Points], fixed: Sequence[Points], *, matched: bool, reach: float, step: float
) -> Floats | None:
    """Return a shift near the one looked for, without a part in directions that are not determined."""
    targets = [Targets([line]) for line in fixed] if matched else [Targets(fixed)] * len(moving)
    lines = [sampled(line, step, _ALL_ONE) for line in moving]
    shift, scale = np.zeros(2), reach
    while True:
        residuals = gathered(lines, targets, shift, reach)
        if residuals is None:
            return None
        rest = residuals.offsets - residuals.normals @ shift
        scatter = max(1.4826 * float(np.median(np.abs(rest))), _FINEST_M)
        weights = np.clip(1.0 - (rest / (_BIWEIGHT * max(scale, scatter))) ** 2, 0.0, None) ** 2
        shift = _solved(residuals, weights)
        if scale <= scatter:
            return shift
        scale /= 2.0


def _solved(residuals: Residuals, weights: Floats) -> Floats:
    matrix = (residuals.normals * weights[:, np.newaxis]).T @ residuals.normals
    values, ways = np.linalg.eigh(matrix)
    right = ways.T @ (residuals.normals.T @ (weights * residuals.offsets))
    known = values >= max(THRESHOLD * float(values.sum()), np.finfo(np.float64).tiny)
    return np.asarray(ways[:, known] @ (right[known] / values[known]))


def _further(axis: Axis, first: Floats) -> Axis:
    """Return an axis with its part of the first shift added, where it is determined."""
    if axis.value is None:
        return axis
    return replace(axis, value=axis.value + float(first @ np.asarray(axis.direction)))
