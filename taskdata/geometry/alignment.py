"""The shift between two sets of lines or points in a local plane, and what of it cannot be known.

Each place p of the moving set has a nearest place q of the fixed set, with the unit normal n of the fixed line there;
a shift s has the residual n · (q - p - s). Straight parallel lines say nothing about a shift along them: the sum of
n nᵀ, divided by the number of places, has the eigenvalues 0 and 1 there, and one half twice where all directions occur
alike. A direction whose eigenvalue is below the threshold is not determined, and no value is given for it.

The sum of squares is minimised with Tukey's biweight, so that what has no counterpart does not count. Its scale starts
at the reach and is halved, so that the few lines that tell of a shift along most of the others are not taken for
strangers. Standard errors
come from the scatter of whole lines, not of places, since the places of one line err together (cluster-robust
covariance, Liang and Zeger 1986, with the usual small-sample factor). Lines longer than ``independent`` metres count
as several, but not as more than they have corners.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.counterparts import Residuals, Targets, nearest_at, residuals_at, residuals_of_pairs, sampled

_BIWEIGHT = 4.685
_ROUNDS = 50
_SETTLED = 1e-6
_SAME = 1e-4
"""Metres by which a shift may change before counterparts are searched anew, which takes most of the time."""
_INDEPENDENT_M = 200.0
_THRESHOLD = 0.01
_FINEST = 1e-3
"""Metres below which the scatter is not taken to lie, so that exact copies have a weight."""


@dataclass(frozen=True, slots=True)
class Axis:
    """One direction of a shift.

    Parameters
    ----------
    direction : tuple
        East and north of the unit vector.
    value : float or None
        Metres along it, None where it is not determined.
    standard_error : float or None
        Metres; None also where the value rests on a single group of places.
    groups : float
        On how many independent groups of places the value rests, counted by their weight.
    """

    direction: tuple[float, float]
    value: float | None
    standard_error: float | None
    groups: float

    @property
    def uncertainty(self) -> float | None:
        """Metres within which the truth lies in 95 % of cases, by Student's t for the groups."""
        return None if self.standard_error is None else self.standard_error * student(int(self.groups) - 1)


@dataclass(frozen=True, slots=True)
class Shift:
    """The shift that moves one set onto the other.

    Parameters
    ----------
    axes : tuple of Axis
        Two at right angles, the better determined one first.
    covariance : ndarray
        (2, 2) m², east and north, of the part that is determined; NaN where there is no standard error.
    places : int
        How many places count.
    scatter : float
        Robust standard deviation of the residuals, metres.
    """

    axes: tuple[Axis, Axis]
    covariance: NDArray[np.float64]
    places: int
    scatter: float

    @property
    def undetermined(self) -> tuple[tuple[float, float], ...]:
        """The directions that cannot be determined, as unit vectors."""
        return tuple(axis.direction for axis in self.axes if axis.value is None)

    @property
    def vector(self) -> tuple[float, float]:
        """East and north in metres of the determined part: the shortest shift that fits."""
        parts = [(axis.value or 0.0, axis.direction) for axis in self.axes]
        return sum(value * way[0] for value, way in parts), sum(value * way[1] for value, way in parts)

    @property
    def east(self) -> float | None:
        """Metres, None where it depends on a direction that is not determined."""
        return self.vector[0] if self._known(0) else None

    @property
    def north(self) -> float | None:
        """Metres, None where it depends on a direction that is not determined."""
        return self.vector[1] if self._known(1) else None

    def _known(self, row: int) -> bool:
        return all(abs(way[row]) < 1e-3 for way in self.undetermined)


def estimate(
    moving: Sequence[ArrayLike],
    fixed: Sequence[ArrayLike],
    *,
    matched: bool = False,
    reach: float = 5.0,
    step: float = 2.0,
    independent: ArrayLike = _INDEPENDENT_M,
    threshold: float = _THRESHOLD,
) -> Shift | None:
    """Estimate the shift that moves a set of lines, rings or points onto another.

    Parameters
    ----------
    moving, fixed : sequence of array_like
        (n, 2) metres each; a line of one point is a point. Rings repeat their first point at the end.
    matched : bool
        Whether ``moving[i]`` is compared with ``fixed[i]`` only, the two being known to be the same thing. Otherwise
        each place is compared with what is nearest, and the shift has to be smaller than half of what lies between
        neighbours.
    reach : float
        The largest distance between a place and its counterpart, metres.
    step : float
        Distance between places taken from a line, metres.
    independent : array_like
        Length from which a line counts as several, metres: one, or one for each moving line; infinite = never.
    threshold : float
        Least eigenvalue of a direction that is determined. 0.01 asks lines to swing by about 6 degrees to each side.

    Returns
    -------
    Shift or None
        None where fewer than three places have a counterpart.

    Raises
    ------
    ValueError
        When matched sets differ in number.
    """
    if matched and len(moving) != len(fixed):
        raise ValueError(f"{len(moving)} moving lines cannot be matched with {len(fixed)} fixed ones")
    targets = [Targets([line]) for line in fixed] if matched else [Targets(fixed)] * len(moving)
    least = np.broadcast_to(np.asarray(independent, dtype=np.float64), len(moving)).tolist()
    lines = [sampled(line, step, size) for line, size in zip(moving, least, strict=True)]
    shift, change, rounds, coarse = np.zeros(2), np.inf, 0, reach
    searched, nearest = shift, nearest_at(lines, targets, shift, reach)
    while (residuals := residuals_at(lines, targets, shift, nearest)) is not None:
        rest = residuals.offsets - residuals.normals @ shift
        scatter = max(1.4826 * float(np.median(np.abs(rest))), _FINEST)
        if rounds == _ROUNDS or (change < _SETTLED and coarse <= scatter):
            return _described(residuals, shift, scatter, threshold)
        found = _solved(residuals, _weights(rest, max(scatter, coarse)), threshold)
        shift, change, rounds = found, float(np.hypot(*(found - shift))), rounds + 1
        coarse /= 2.0
        if np.hypot(*(shift - searched)) > _SAME:
            searched, nearest = shift, nearest_at(lines, targets, shift, reach)
    return None


def estimate_alike(moving: Sequence[Points], fixed: Sequence[Points], *, step: float = 2.0) -> Shift | None:
    """Estimate the shift between lines whose points are counterparts one by one and moved nearly alike.

    What of one line lies nearest to a place of another is then what lies at the same share of the same segment, so that
    nothing is searched: for points that moved alike within some centimetres, the shift differs by some micrometres from
    that of `estimate`.

    Parameters
    ----------
    moving, fixed : sequence of Points
        (n, 2) metres each, as many points in one as in the other.
    step : float
        Distance between places taken from a line, metres.

    Returns
    -------
    Shift or None
        None where there are fewer than three places.
    """
    residuals = residuals_of_pairs(moving, fixed, step, _INDEPENDENT_M)
    if residuals is None:
        return None
    shift, change = np.zeros(2), np.inf
    for rounds in range(_ROUNDS + 1):
        rest = residuals.offsets - residuals.normals @ shift
        scatter = max(1.4826 * float(np.median(np.abs(rest))), _FINEST)
        if rounds == _ROUNDS or change < _SETTLED:
            break
        weights = _weights(rest, scatter) if rounds else np.ones(len(rest))
        found = _solved(residuals, weights, _THRESHOLD)
        shift, change = found, float(np.hypot(*(found - shift)))
    return _described(residuals, shift, scatter, _THRESHOLD)


def student(freedom: int) -> float:
    """Return the two-sided 95 % point of Student's t; infinite without a degree of freedom.

    For one and two degrees exactly, else by the series of Cornish and Fisher (Abramowitz and Stegun 26.7.5).
    """
    if freedom < 1:
        return math.inf
    if freedom == 1:
        return math.tan(0.475 * math.pi)
    if freedom == 2:
        return 0.95 * math.sqrt(2.0 / (1.0 - 0.95**2))
    z = 1.959963984540054
    terms = (
        z,
        (z**3 + z) / 4.0,
        (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0,
        (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0,
        (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z) / 92160.0,
    )
    return math.fsum(term / freedom**power for power, term in enumerate(terms))


def _weights(rest: Floats, scatter: float) -> Floats:
    """Return Tukey's weights of residuals."""
    return np.asarray(np.clip(1.0 - (rest / (_BIWEIGHT * scatter)) ** 2, 0.0, None) ** 2)


def _normal_matrix(normals: Points, weights: Floats) -> NDArray[np.float64]:
    return np.asarray((normals * weights[:, np.newaxis]).T @ normals)


def _solved(residuals: Residuals, weights: Floats, threshold: float) -> Floats:
    """Return the shift, without a part in directions that are not determined."""
    values, ways = np.linalg.eigh(_normal_matrix(residuals.normals, weights))
    right = ways.T @ (residuals.normals.T @ (weights * residuals.offsets))
    known = values >= threshold * values.sum()
    return np.asarray(ways[:, known] @ (right[known] / values[known]))


def _described(residuals: Residuals, shift: Floats, scatter: float, threshold: float) -> Shift:
    rest = residuals.offsets - residuals.normals @ shift
    weights = _weights(rest, scatter)
    values, ways = np.linalg.eigh(_normal_matrix(residuals.normals, weights))
    ways = ways * np.where(ways[np.abs(ways).argmax(axis=0), [0, 1]] < 0.0, -1.0, 1.0)
    strengths = values / values.sum()
    known = strengths >= threshold
    bread, effective, middle = _scatter_of_groups(residuals, rest, weights, scatter, ways)
    bread[~known] = bread[:, ~known] = 0.0
    inverse = np.linalg.pinv(bread)
    factors = np.sqrt(np.divide(effective, effective - 1.0, out=np.full(2, np.nan), where=effective >= 2.0))
    inner = inverse @ middle @ inverse * np.outer(factors, factors)
    inner[~known] = inner[:, ~known] = 0.0
    axes = [
        Axis(
            (float(ways[0, row]), float(ways[1, row])),
            float(ways[:, row] @ shift) if known[row] else None,
            math.sqrt(inner[row, row]) if known[row] and effective[row] >= 2.0 else None,
            float(effective[row]),
        )
        for row in (1, 0)
    ]
    return Shift((axes[0], axes[1]), ways @ inner @ ways.T, int((weights > 0.0).sum()), scatter)


def _scatter_of_groups(
    residuals: Residuals, rest: Floats, weights: Floats, scatter: float, ways: NDArray[np.float64]
) -> tuple[NDArray[np.float64], Floats, NDArray[np.float64]]:
    """Return, in the axes given, the derivative of the score, the groups each axis rests on, and the scores' scatter.

    The groups of an axis are (sum h)² / sum h², where h is the weight of a group across that axis.
    """
    normals = residuals.normals @ ways
    slope = np.sqrt(weights) * (1.0 - 5.0 * (rest / (_BIWEIGHT * scatter)) ** 2)
    scores = np.stack([np.bincount(residuals.groups, weights=weights * rest * axis) for axis in normals.T])
    shares = np.stack([np.bincount(residuals.groups, weights=weights * axis**2) for axis in normals.T])
    squares = (shares**2).sum(axis=1)
    effective = np.divide(shares.sum(axis=1) ** 2, squares, out=np.zeros(2), where=squares > 0.0)
    return _normal_matrix(normals, slope), effective, np.asarray(scores @ scores.T)
