"""Bends, tight turns and reversing against a simulation of continuous motion."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest
import shapely

from tests.fieldwork import build
from tests.fieldwork.simulated import ground
from tests.fieldwork.simulated.logs import Receiver, dataset
from tests.fieldwork.simulated.motion import Leg, Rig, drive
from tests.heavy import some

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


@pytest.mark.parametrize(("antenna", "rate"), some(list(product((2.0, 0.0, -1.5), RATES)), 6))
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


def states(found, legs):
    """On in some legs, off in the others and at the last sample."""
    on = np.repeat(np.isin(found.leg, legs)[:, np.newaxis], len(found.rig.edges), axis=1)
    on[-1] = False
    return on


def held(found, on, receiver: Receiver, field=None):
    """Compare with the truth: every figure is inside the stated one."""
    where = shapely.union_all(ground.quads(found, on)).buffer(3.0, join_style="mitre") if field is None else field
    where = shapely.Polygon(where.exterior)
    true = ground.truth(found, on, where)
    areas = build.covered(dataset([(found, on)], where, receiver)).areas
    off = {
        kind: (getattr(true, kind), interval.low, interval.high)
        for kind, interval in areas.intervals.items()
        if not interval.low - 1e-6 <= getattr(true, kind) <= interval.high + 1e-6
    }
    assert off == {}
    return true, areas


@pytest.mark.parametrize(("radius", "rate", "trailed"), some(list(product((4.0, 6.0, 10.0), RATES, (0.0, 3.5))), 8))
def test_working_turns_are_inside_the_stated_figures(radius: float, rate: float, trailed: float) -> None:
    """A half turn to the right between two straights, all of it worked, at 1.2 m/s in the turn.

    The bar of 12 m reaches across the turning centre where the radius is below 6 m.
    """
    rig = Rig(antenna=1.8, hitch=1.0, trailed=trailed, bar=0.5, edges=((-6.0, -2.0), (-2.0, 2.0), (2.0, 6.0)))
    turn = Leg(math.pi * radius, 1.0 / radius, speed=1.2)
    found = drive(rig, [Leg(30.0, speed=2.4), turn, Leg(30.0, speed=2.4)])
    held(found, always(found), Receiver(rate, noise=0.01, status=4, seed=3))


@pytest.mark.parametrize(
    ("rate", "back", "speed"), some(list(product((1.0, 5.0, 10.0), (4.0, 15.0), (True, False))), 6)
)
def test_reversing_with_a_trailed_implement_is_inside_the_stated_figures(rate: float, back: float, speed: bool) -> None:
    """Forward, back in a slight bend while working, and forward again; told by the speed or by the path alone."""
    rig = Rig(antenna=2.0, hitch=1.2, trailed=4.5, bar=1.0, edges=((-3.0, 0.0), (0.0, 3.0)))
    found = drive(rig, [Leg(25.0), Leg(back, 0.02, speed=-1.0), Leg(25.0, 0.01)])
    held(found, always(found), Receiver(rate, noise=0.01, status=4, speed=speed, seed=5))


@pytest.mark.parametrize("rate", [1.0, 10.0])
def test_a_gap_in_a_bend_is_inside_the_stated_figures(rate: float) -> None:
    """Ten seconds without a record in a bend of 18 m, with a trailed implement."""
    rig = Rig(antenna=2.0, hitch=1.2, trailed=4.5, edges=((-3.0, 3.0),))
    found = drive(rig, [Leg(30.0), Leg(60.0, 1.0 / 18.0), Leg(20.0)])
    held(found, always(found), Receiver(rate, noise=0.01, status=4, gaps=((18.0, 28.0),)))


@pytest.mark.parametrize("rate", RATES)
def test_a_trailed_axle_runs_on_the_root_of_radius_and_length(rate: float) -> None:
    """Steady on a circle: the hitch at sqrt(R² + h²), the trailed axle at the root of that squared less L²."""
    rig = Rig(antenna=2.0, hitch=1.0, trailed=6.0)
    hitch = math.hypot(15.0, 1.0)
    settled = -math.atan(1.0 / 15.0) - math.asin(6.0 / hitch)
    found = drive(rig, [Leg(200.0, 1.0 / 15.0)], start=(-15.0, 0.0), articulation=settled)
    axle = math.sqrt(hitch**2 - 36.0)
    assert np.hypot(*found.middle.T) == pytest.approx(axle, abs=2e-3)
    areas = build.covered(dataset([(found, always(found))], ring(axle, 4.0), Receiver(rate)), task="TSK1").areas
    turn = np.abs(found.heading[-1] - found.heading[0])
    assert areas.applied_m2 == pytest.approx(turn * axle * 6.0, rel=2e-3)
