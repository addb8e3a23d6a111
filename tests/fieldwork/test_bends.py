"""Bends, tight turns and reversing against a simulation of continuous motion."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from tests.fieldwork import build
from tests.fieldwork.simulated import ground
from tests.fieldwork.simulated.logs import Receiver, dataset
from tests.fieldwork.simulated.motion import Leg, Rig, drive

RATES = (0.2, 1.0, 5.0, 10.0)


def always(found):
    """On until the last sample, and off there."""
    on = np.ones((len(found.seconds), len(found.rig.edges)), dtype=bool)
    on[-1] = False
    return on


def ring(radius: float, half: float):
    """An annulus about the origin, its edges within 0.1 mm of circles."""
    outer, inner = (shapely.Point(0.0, 0.0).buffer(radius + side, quad_segs=2000) for side in (half, -half))
    return outer.difference(inner)


@pytest.mark.parametrize("antenna", [2.0, 0.0, -1.5])
@pytest.mark.parametrize("rate", RATES)
def test_a_receiver_ahead_of_the_axle_covers_rings_once(antenna: float, rate: float) -> None:
    """Rings of 15 to 39 m driven to the last second: the axle on R, the antenna on sqrt(R² + a²)."""
    rig = Rig(antenna=antenna, antenna_right=0.4)
    drives = []
    for radius in (15.0, 21.0, 27.0, 33.0, 39.0):
        # So long that a record falls on the end at each of the rates.
        seconds = math.floor(radius * math.radians(336.0) / 2.5 / 5.0) * 5.0
        found = drive(rig, [Leg(2.5 * seconds, 1.0 / radius)], start=(-radius, 0.0))
        drives.append((found, always(found)))
    worked = shapely.union_all(np.concatenate([ground.quads(*item) for item in drives]))
    found = build.covered(dataset(drives, ring(27.0, 15.0), Receiver(rate))).areas
    true = math.pi * (42.0**2 - 12.0**2) - worked.area
    assert found.double_m2 == pytest.approx(0.0, abs=1.5)
    assert found.missed_m2 == pytest.approx(true, abs=max(found.uncertainty_m2, 2.0))
    assert found.outside_m2 == pytest.approx(0.0, abs=1.5)
