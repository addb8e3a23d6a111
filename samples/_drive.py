"""A driver who goes round a field and then up and down it: where the antenna is at every moment."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from _place import Metres, Ring, inset

STEP = 0.25
PUSH = 0.6
"""Acceleration and braking in m/s2."""
PASS, TURN, ROUND = "pass", "turn", "round"


@dataclass(frozen=True, slots=True)
class Pace:
    """Speeds in m/s along passes, round the headland and in turns."""

    straight: float
    edge: float
    turn: float


@dataclass(frozen=True, slots=True)
class Fix:
    """Place and motion of the antenna: seconds, metres, radians clockwise from north, m/s, and what is going on."""

    time: float
    east: float
    north: float
    heading: float
    speed: float
    phase: str


class Track:
    """Points every ``STEP`` m with the speed allowed there."""

    def __init__(self, pace: Pace, start: Metres) -> None:
        self.limits = {PASS: pace.straight, ROUND: pace.edge, TURN: pace.turn}
        self.points: list[Metres] = [start]
        self.phases: list[str] = [TURN]

    def straight(self, end: Metres, phase: str) -> None:
        """Drive straight on to ``end``."""
        a = self.points[-1]
        count = max(1, math.ceil(math.dist(a, end) / STEP))
        for i in range(1, count + 1):
            self._add((a[0] + (end[0] - a[0]) * i / count, a[1] + (end[1] - a[1]) * i / count), phase)

    def arc(self, centre: Metres, sweep: float, phase: str) -> None:
        """Turn about ``centre`` by ``sweep`` radians, positive to the left."""
        a = self.points[-1]
        radius, start = math.dist(a, centre), math.atan2(a[1] - centre[1], a[0] - centre[0])
        count = max(2, math.ceil(abs(sweep) * radius / STEP))
        for i in range(1, count + 1):
            angle = start + sweep * i / count
            self._add((centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)), phase)

    def fixes(self, rate: int) -> Iterator[Fix]:
        """Drive along the points and yield ``rate`` fixes a second."""
        speeds = self._speeds()
        clock, number = 0.0, 0
        for i in range(len(self.points) - 1):
            a, b = self.points[i], self.points[i + 1]
            size = math.dist(a, b)
            took = 2 * size / (speeds[i] + speeds[i + 1])
            heading = math.atan2(b[0] - a[0], b[1] - a[1]) if size else 0.0
            while number / rate < clock + took:
                part = (number / rate - clock) / took
                yield Fix(
                    number / rate,
                    a[0] + (b[0] - a[0]) * part,
                    a[1] + (b[1] - a[1]) * part,
                    heading,
                    speeds[i] + (speeds[i + 1] - speeds[i]) * part,
                    self.phases[i + 1],
                )
                number += 1
            clock += took

    def _add(self, place: Metres, phase: str) -> None:
        if math.dist(place, self.points[-1]) > 0.01:
            self.points.append(place)
            self.phases.append(phase)

    def _speeds(self) -> list[float]:
        speeds = [self.limits[phase] for phase in self.phases]
        speeds[0] = speeds[-1] = 0.4
        count = len(speeds)
        for order in (range(1, count), range(count - 2, -1, -1)):
            step = order.step
            for i in order:
                gap = math.dist(self.points[i], self.points[i - step])
                speeds[i] = min(speeds[i], math.sqrt(speeds[i - step] ** 2 + 2 * PUSH * gap))
        return speeds


class Frame:
    """Axes along the first side of a ring (u) and into the ring (v)."""

    def __init__(self, ring: Ring) -> None:
        size = math.dist(ring[0], ring[1])
        self.origin = ring[0]
        self.along = ((ring[1][0] - ring[0][0]) / size, (ring[1][1] - ring[0][1]) / size)

    def local(self, place: Metres) -> Metres:
        """Return u and v of a place."""
        x, y = place[0] - self.origin[0], place[1] - self.origin[1]
        return x * self.along[0] + y * self.along[1], y * self.along[0] - x * self.along[1]

    def world(self, u: float, v: float) -> Metres:
        """Return the place of u and v."""
        return (
            self.origin[0] + u * self.along[0] - v * self.along[1],
            self.origin[1] + u * self.along[1] + v * self.along[0],
        )


def round_trip(track: Track, ring: Ring, radius: float) -> None:
    """Drive once round the convex counter-clockwise ``ring`` with rounded corners."""
    count = len(ring)
    track.straight(_between(ring[0], ring[1], 0.02), TURN)
    for i in range(1, count + 1):
        before, corner, after = ring[i - 1], ring[i % count], ring[(i + 1) % count]
        first = math.atan2(corner[1] - before[1], corner[0] - before[0])
        second = math.atan2(after[1] - corner[1], after[0] - corner[0])
        sweep = (second - first) % (2 * math.pi)
        back = radius * math.tan(sweep / 2)
        start = (corner[0] - back * math.cos(first), corner[1] - back * math.sin(first))
        track.straight(start, ROUND)
        if i < count:
            track.arc((start[0] - radius * math.sin(first), start[1] + radius * math.cos(first)), sweep, ROUND)


def up_and_down(track: Track, ring: Ring, width: float, trail: float, order: Sequence[int] | None = None) -> None:
    """Work the convex ``ring`` in parallel passes; the tool hangs ``trail`` m behind the antenna."""
    frame = Frame(ring)
    corners = [frame.local(place) for place in ring]
    strips = list(_strips(corners, width))
    forward = True
    turns = list(order or range(len(strips)))
    for place, number in enumerate(turns):
        middle, low, high = strips[number]
        begin, end = (low - 2, high + trail + 2) if forward else (high + 2, low - trail - 2)
        track.straight(frame.world(begin, middle), TURN)
        track.straight(frame.world(end, middle), PASS)
        if place + 1 < len(turns):
            after, next_low, next_high = strips[turns[place + 1]]
            edge = max(end, next_high + 2) if forward else min(end, next_low - 2)
            track.straight(frame.world(edge, middle), TURN)
            sweep = math.pi if (after > middle) == forward else -math.pi
            track.arc(frame.world(edge, (middle + after) / 2), sweep, TURN)
        forward = not forward


def leaping(count: int) -> list[int]:
    """Return an order of ``count`` passes that always leaves room to turn: 0, 4, 1, 5, 2, 6, 3, 7, 8, 12..."""
    order = []
    for block in range(0, count, 8):
        for i in range(4):
            order += [number for number in (block + i, block + i + 4) if number < count]
    return order


def strip_count(ring: Ring, width: float) -> int:
    """Return how many passes ``ring`` takes."""
    frame = Frame(ring)
    return len(list(_strips([frame.local(place) for place in ring], width)))


def whole_field(field: Ring, width: float, trail: float, pace: Pace, start: Metres) -> Track:
    """Return the track of a round along the edge and passes inside it."""
    track = Track(pace, start)
    round_trip(track, inset(field, width / 2), 7.0)
    up_and_down(track, inset(field, width), width, trail)
    return track


def _strips(corners: Sequence[Metres], width: float) -> Iterator[tuple[float, float, float]]:
    low, high = min(v for _, v in corners), max(v for _, v in corners)
    edges = list(zip(corners, [*corners[1:], corners[0]], strict=True))
    for number in range(math.ceil((high - low) / width - 1e-9)):
        bottom, top = low + number * width, min(low + (number + 1) * width, high)
        ends = [u for u, v in corners if bottom <= v <= top]
        for (u1, v1), (u2, v2) in edges:
            ends += [u1 + (u2 - u1) * (v - v1) / (v2 - v1) for v in (bottom, top) if (v1 - v) * (v2 - v) < 0]
        yield low + (number + 0.5) * width, min(ends), max(ends)


def _between(a: Metres, b: Metres, part: float) -> Metres:
    return a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part
