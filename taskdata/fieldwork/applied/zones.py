"""What was meant and what was applied, by zone of the rate map.

Looked at are the middles of small cells, turned to the main direction of the work as in `taskdata.geometry.raster`, so
many that areas are right to about a hundredth of a per cent. What a spot got is the sum of all sweeps over it. Ground
that was not worked does not count; that is missed ground, which coverage tells apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from taskdata.fieldwork.applied.rate_plans import NO_ZONE, RatePlan
from taskdata.geometry import raster, sweeps
from taskdata.geometry.arrays import Floats
from taskdata.results.applied import AppliedQuantity, ZoneFigures

SAMPLES = 1_000_000
"""About how many spots are looked at."""

FINEST_M, COARSEST_M = 0.1, 2.0
NEAR = (0.05, 0.10)
MOST_RATES = 12
"""A grid whose cells hold more different rates than this is shown as one zone with the mean of its rates."""


def zone_figures(applied: AppliedQuantity, plan: RatePlan) -> Iterator[ZoneFigures]:
    """Yield the figures of each zone that was worked, by code; of a grid of values of each rate."""
    if applied.ddi is None:
        return
    area = float(np.abs(sweeps.areas(applied.quads)).sum())
    cell = min(COARSEST_M, max(FINEST_M, math.sqrt(area / SAMPLES)))
    parts = [_met(found, plan) for found in raster.samples(applied.quads, applied.rate[np.newaxis], cell)]
    if not parts:
        return
    code, meant, dose = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    for number in np.unique(code).tolist():
        here = code == number
        rates = np.unique(meant[here])
        for rate in rates if len(rates) <= MOST_RATES else [None]:
            chosen = here if rate is None else here & (meant == rate)
            yield _figures(applied, int(number), meant[chosen], dose[chosen], cell**2)


def _met(found: raster.Samples, plan: RatePlan) -> tuple[Floats, Floats, Floats]:
    """Return code, meant rate and dose of the samples that lie in a zone."""
    meant = plan.at(found.points)
    inside = meant.code != NO_ZONE
    return meant.code[inside].astype(np.float64), meant.rate[inside], found.sums[0][inside]


def _figures(applied: AppliedQuantity, code: int, meant: Floats, dose: Floats, cell_m2: float) -> ZoneFigures:
    off = np.abs(dose - meant)
    # a dose is a sum of floats: what is off by less than a billionth of the rate is not off
    near = [float((off <= (share + 1e-9) * meant).mean()) for share in NEAR]
    return ZoneFigures(
        code,
        applied.ddi or 0,
        applied.product,
        len(dose) * cell_m2,
        float(meant.mean()),
        float(dose.mean()),
        *near,
    )
