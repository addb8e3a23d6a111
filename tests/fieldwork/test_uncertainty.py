"""The uncertainty that is stated holds what the records leave open."""

from __future__ import annotations

import numpy as np
import pytest

from taskdata.geometry.plane import LocalPlane
from tests.fieldwork import build
from tests.heavy import HEAVY

PLANE = LocalPlane(build.LON, build.LAT)
SEEDS = 120 if HEAVY else 40


def test_switching_between_records_stays_within_it() -> None:
    """Sections switch at any time; the log tells at the next record. Two standard deviations hold 95 %."""
    within = 0
    for seed in range(SEEDS):
        random = np.random.default_rng(seed)
        way = build.straight(800.0, 2.0)
        switches = np.sort(random.uniform(20.0, 780.0, 2 * 10))
        states = (np.searchsorted(switches, way[:, 1]) % 2).astype(int)
        true = 12.0 * (switches[1::2] - switches[::2]).sum()
        log = build.log(way, {(141, "DET21"): states}, place=PLANE.inverse)
        found = build.covered([log], [build.sprayer([6000, 6000])]).areas
        within += abs(found.worked_m2 - true) <= found.uncertainty_m2
    assert within >= 0.90 * SEEDS
    assert within < SEEDS  # two standard deviations, not a bound that never fails


@pytest.mark.parametrize("steps", [12, 24, 48])
def test_arcs_stay_within_it(steps: int) -> None:
    angle = np.arange(-4, steps + 5) * np.pi / 2 / steps
    places = np.column_stack([-40.0 * np.cos(angle), 40.0 * np.sin(angle)])
    on = ((angle >= -1e-9) & (angle < np.pi / 2 - 1e-9)).astype(int)
    log = build.log(places, {(141, "DET21"): on}, place=PLANE.inverse)
    found = build.covered([log], [build.sprayer([6000, 6000])]).areas
    error = abs(found.worked_m2 - np.pi / 2 * 40.0 * 12.0)
    chord = np.pi / 2 * 40.0 * 12.0 * (np.pi / 2 / steps) ** 2 / 6.0
    assert error < max(0.1 * chord, 0.2)
    assert error <= found.uncertainty_m2
