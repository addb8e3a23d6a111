"""How straight and how evenly was driven: neighbouring passes against each other, and passes against a line.

Pass-to-pass error follows ISO 12188-1: the relative cross-track error between adjacent passes that lie less than 15
minutes apart. It is measured at right angles from the interpolated path of the earlier pass: the nearest logged point
is farther away, which overstates errors (Trans. ASABE 59(6):1609-1616, 2016: by about 8 % at 1.25 m/s).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import ArrayLike

from taskdata.fieldwork.driving.splitting import Pass, split
from taskdata.geometry.alignment import student
from taskdata.geometry.arrays import Floats, dots
from taskdata.geometry.paths import cross_track
from taskdata.progress import each
from taskdata.results.driving import CrossTrackError, PassToPass

ADJACENT_S = 15.0 * 60.0
"""Passes at most this far apart in time are compared (ISO 12188-1)."""

STEP_M = 1.0
"""Metres of path between places that are compared."""

SEARCHED_M = 60.0
"""How far a neighbour is looked for when the intended spacing is not known."""

STRANGE = 0.2
"""The share of the spacing from which a pass is not one of the line; one anywhere between is off by 0.25 on average."""

_PARALLEL = math.cos(math.radians(20.0))
_FEWEST = 5
"""A pair of passes counts from this many places."""

EXTENDED_M = 100_000.0
"""How far a line goes on straight past its first and last point."""


LEAST_SET_M = 0.05
"""A mean distance that differs from the width by less than this is not taken for an overlap or a skip."""


def pass_to_pass(
    track_xy: ArrayLike,
    time_s: ArrayLike | None,
    working: ArrayLike | None,
    spacing: float | None,
    *,
    width: float | None = None,
) -> PassToPass | None:
    """Return the pass-to-pass error of a track.

    Every metre of a pass is compared with the interpolated path of each earlier pass that runs in its direction or
    against it, no nearer than half and no farther than one and a half times the intended spacing.

    Parameters
    ----------
    track_xy : array_like
        (n, 2) metres in a local plane, in the order of time: the reference point of the implement, or the antenna.
    time_s : array_like or None
        (n,) seconds.
    working : array_like or None
        (n,) bool: whether the machine works from this record on.
    spacing : float or None
        Intended distance between neighbouring passes in metres, where it is known.
    width : float, optional
        Working width in metres: without a spacing, what passes are expected to lie apart.

    Returns
    -------
    PassToPass or None
        None without two neighbouring passes less than 15 minutes apart.
    """
    passes = split(track_xy, time_s, working)
    timed = time_s is not None
    about = spacing if spacing is not None else width
    gaps = list(_gaps(passes, SEARCHED_M if about is None else 1.5 * about, timed=timed))
    expected = about if about is not None else _driven(gaps)
    near = [gap[np.abs(gap - expected) < expected / 2.0] for _, gap in gaps]
    near = [gap for gap in near if len(gap) >= _FEWEST]
    if not near:
        return None
    driven = float(np.mean([gap.mean() for gap in near]))
    intended = expected if spacing is not None or not _is_set(near, expected) else driven
    figures = _figures([gap - intended for gap in near])
    return PassToPass(*figures[:4], len(near), figures[4], intended, spacing is not None, timed, figures[5], driven)


def against_line(
    track_xy: ArrayLike,
    line_xy: ArrayLike,
    *,
    working: ArrayLike | None = None,
    spacing: float | None = None,
    extend: float = EXTENDED_M,
) -> CrossTrackError | None:
    """Return the cross-track error of a track against a guidance line, which goes on straight past A and B.

    Parameters
    ----------
    track_xy, line_xy : array_like
        (n, 2) and (m, 2) metres in a local plane.
    working : array_like, optional
        (n,) bool.
    spacing : float, optional
        Distance between the parallels of the line; each place counts against the nearest one. None = the line alone.
    extend : float
        Metres by which the line goes on straight past its ends.

    Returns
    -------
    CrossTrackError or None
        None where no pass runs along the line or its parallels.

    Raises
    ------
    ValueError
        When the line has no length.
    """
    errors = []
    for item in split(track_xy, None, working):
        places, _, ways = item.at(_steps(item))
        found = cross_track(places, line_xy, extend=extend)
        ahead = cross_track(places + 0.5 * ways, line_xy, extend=extend)
        along = np.abs(ahead.along - found.along) >= 0.5 * _PARALLEL
        across = found.across[along & np.isfinite(found.across)]
        if spacing is not None:
            across = across - spacing * np.round(across / spacing)
        if len(across) >= _FEWEST:
            errors.append(across)
    near = [item for item in errors if spacing is None or float(np.abs(item).mean()) <= STRANGE * spacing]
    if not near:
        return None
    figures = _figures(near)
    return CrossTrackError(*figures[:4], len(near), len(errors) - len(near), figures[4], figures[5])


def _gaps(passes: Sequence[Pass], reach: float, *, timed: bool) -> Iterator[tuple[int, Floats]]:
    """Yield for each pair of passes the later one and its distances from the interpolated path of the earlier."""
    if len(passes) < 2:
        return
    shapes = np.array([shapely.linestrings(item.points) for item in passes], dtype=object)
    later, earlier = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=reach)
    sampled = {index: passes[index].at(_steps(passes[index])) for index in set(later.tolist())}
    pairs = [(after, before) for after, before in zip(later.tolist(), earlier.tolist(), strict=True) if before < after]
    for after, before in each(sorted(pairs), "Comparing passes", "pairs"):
        places, seconds, ways = sampled[after]
        found = cross_track(places, passes[before].points)
        known = np.isfinite(found.across)
        _, then, other = passes[before].at(found.along[known])
        use = np.abs(dots(ways[known], other)) >= _PARALLEL
        if timed:
            use &= np.abs(seconds[known] - then) < ADJACENT_S
        gap = np.abs(found.across[known][use])
        gap = gap[gap <= reach]
        if len(gap) >= _FEWEST:
            yield after, gap


def _driven(gaps: Sequence[tuple[int, Floats]]) -> float:
    """Return the median over passes of the distance to the nearest of the earlier ones, 0 where there is none."""
    nearest: dict[int, float] = {}
    for after, gap in gaps:
        nearest[after] = min(float(np.median(gap)), nearest.get(after, math.inf))
    return float(np.median(list(nearest.values()))) if nearest else 0.0


def _is_set(gaps: Sequence[Floats], expected: float) -> bool:
    """Tell whether neighbours lie closer or farther than expected all over, beyond what chance would make of them."""
    means = np.array([gap.mean() for gap in gaps]) - expected
    if len(means) < 2:
        return False
    doubt = float(means.std(ddof=1)) / math.sqrt(len(means)) * student(len(means) - 1)
    return abs(float(means.mean())) > max(doubt, LEAST_SET_M)


def _steps(item: Pass) -> Floats:
    """Return the ways at which places of a pass are compared."""
    return np.linspace(0.0, item.length_m, max(2, round(item.length_m / STEP_M) + 1))


def _figures(errors: Sequence[Floats]) -> tuple[float, float, float, float, int, float | None]:
    """Return mean, root mean square and 95th percentile of sizes, mean with sign, number, and uncertainty."""
    every = np.concatenate(errors)
    sizes = np.abs(every)
    means = np.array([np.abs(error).mean() for error in errors])
    uncertainty = None
    if len(means) > 1:
        uncertainty = float(means.std(ddof=1)) / math.sqrt(len(means)) * student(len(means) - 1)
    return (
        float(sizes.mean()),
        math.sqrt(float((every**2).mean())),
        float(np.percentile(sizes, 95.0)),
        float(every.mean()),
        len(every),
        uncertainty,
    )
