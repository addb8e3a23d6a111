"""Continuous motion: a rear axle that rolls without slip, and what it pulls, in steps of 20 ms.

Axles roll along their heading; whichever end leads, the other is pulled by the hitch: the tractor leads going forward,
the trailed axle in reverse, as a driver steers it. Metres, x east and y north; headings in radians clockwise from
north.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

STEP_S = 0.02


@dataclass(frozen=True)
class Leg:
    """A stretch of so many metres at a curvature (1/m, right positive) that changes evenly; negative speed reverses."""

    metres: float
    curvature: float = 0.0
    end_curvature: float | None = None
    speed: float = 2.5


@dataclass(frozen=True)
class Rig:
    """Metres: antenna ahead and right of the rear axle, hitch behind it, trailed axle behind the hitch (0 = mounted).

    ``bar`` lies so far behind the trailed axle, or behind the hitch where mounted; ``edges`` are the (k, 2) left and
    right edges of its sections, right positive.
    """

    antenna: float = 0.0
    antenna_right: float = 0.0
    hitch: float = 0.0
    trailed: float = 0.0
    bar: float = 0.0
    edges: tuple[tuple[float, float], ...] = ((-3.0, 3.0),)


@dataclass(frozen=True)
class Drive:
    """Where everything was: (n,) seconds, (n, 2) metres and (n,) radians, and the leg of each step."""

    rig: Rig
    seconds: np.ndarray
    axle: np.ndarray
    heading: np.ndarray
    trailed_heading: np.ndarray
    speed: np.ndarray
    leg: np.ndarray

    @property
    def antenna(self) -> np.ndarray:
        return moved(self.axle, self.heading, self.rig.antenna, self.rig.antenna_right)

    @property
    def middle(self) -> np.ndarray:
        """The reference point of the bar: trailed axle or hitch, less ``bar``."""
        hitch = moved(self.axle, self.heading, -self.rig.hitch, 0.0)
        return moved(hitch, self.trailed_heading, -self.rig.trailed - self.rig.bar, 0.0)

    def edge(self, right: float) -> np.ndarray:
        """The way of a point of the bar."""
        return moved(self.middle, self.trailed_heading, 0.0, right)


def moved(points: np.ndarray, heading: np.ndarray, ahead: float, right: float) -> np.ndarray:
    """Points moved along and across their headings."""
    sine, cosine = np.sin(heading), np.cos(heading)
    return points + np.column_stack([ahead * sine + right * cosine, ahead * cosine - right * sine])


@dataclass
class _Pose:
    """Rear axle, heading of the tractor, heading of the trailed part."""

    x: float
    y: float
    theta: float
    psi: float

    def ahead(self, rig: Rig, gone: float, bend: float) -> None:
        """The tractor leads: its axle goes along an arc, and the trailed axle follows the hitch."""
        before = self._hitch(rig)
        half = self.theta + bend * gone / 2.0
        self.x, self.y = self.x + gone * math.sin(half), self.y + gone * math.cos(half)
        self.theta += bend * gone
        if rig.trailed:
            self.psi = _pulled(self.psi, before, self._hitch(rig), rig.trailed)

    def pushing(self, rig: Rig, gone: float, bend: float) -> None:
        """The trailed axle leads along an arc, and the tractor follows its hitch, which lies behind its axle."""
        before = self._hitch(rig)
        half, turned = self.psi + bend * gone / 2.0, self.psi + bend * gone
        x = before[0] + rig.trailed * (math.sin(turned) - math.sin(self.psi)) + gone * math.sin(half)
        y = before[1] + rig.trailed * (math.cos(turned) - math.cos(self.psi)) + gone * math.cos(half)
        self.psi, self.theta = turned, _pulled(self.theta, before, (x, y), -rig.hitch)
        self.x, self.y = x + rig.hitch * math.sin(self.theta), y + rig.hitch * math.cos(self.theta)

    def _hitch(self, rig: Rig) -> tuple[float, float]:
        return self.x - rig.hitch * math.sin(self.theta), self.y - rig.hitch * math.cos(self.theta)


def drive(rig: Rig, legs: list[Leg], *, start=(0.0, 0.0), heading: float = 0.0, articulation: float = 0.0) -> Drive:
    """Drive legs one after the other; ``articulation`` is by how much the trailed part first heads to the right."""
    pose = _Pose(*start, heading, heading + articulation)
    rows = [(*vars(pose).values(), legs[0].speed, 0)]
    for number, leg in enumerate(legs):
        count = max(1, round(leg.metres / abs(leg.speed) / STEP_S))
        gone = leg.metres / count * math.copysign(1.0, leg.speed)
        last = leg.curvature if leg.end_curvature is None else leg.end_curvature
        move = pose.ahead if leg.speed > 0.0 or not rig.trailed else pose.pushing
        for step in range(count):
            move(rig, gone, leg.curvature + (last - leg.curvature) * (step + 0.5) / count)
            rows.append((*vars(pose).values(), leg.speed, number))
    east, north, theta, psi, speed, leg_of = np.array(rows).T
    seconds = STEP_S * np.arange(len(rows))
    trailed = psi if rig.trailed else theta
    return Drive(rig, seconds, np.column_stack([east, north]), theta, trailed, speed, leg_of.astype(int))


def _pulled(angle: float, before: tuple[float, float], after: tuple[float, float], length: float) -> float:
    """The heading of a body whose point ahead of its axle moved, by the part of that way across it (midpoint rule)."""
    east, north = after[0] - before[0], after[1] - before[1]
    first = angle + (east * math.cos(angle) - north * math.sin(angle)) / length / 2.0
    return angle + (east * math.cos(first) - north * math.sin(first)) / length
