"""Spraying and drilling as a machine does them: sections by place, rates by zone, totals as they grow."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from _drive import PASS, ROUND, Fix
from _place import Metres, Ring, inside


@dataclass(frozen=True, slots=True)
class Tool:
    """A boom in metres: how far behind the antenna, widths of its sections left to right, dose in area per unit."""

    trail: float
    widths: tuple[float, ...]

    def centres(self) -> list[float]:
        """Return the sideways place of each section, right positive."""
        left = -sum(self.widths) / 2
        places = []
        for width in self.widths:
            places.append(left + width / 2)
            left += width
        return places


@dataclass(slots=True)
class Totals:
    """Sums since the start of the task: m2, m, m, s, s and litres or kilograms per channel of dose."""

    area: float = 0.0
    distance: float = 0.0
    idle_distance: float = 0.0
    time: float = 0.0
    idle_time: float = 0.0
    amounts: list[float] = field(default_factory=lambda: [0.0, 0.0])


@dataclass(frozen=True, slots=True)
class State:
    """One moment of work: the fix, which sections are on, wanted and real doses (raw), and copies of the totals."""

    fix: Fix
    on: tuple[bool, ...]
    wanted: tuple[int, ...]
    real: tuple[int, ...]
    area: int
    distance: int
    idle_distance: int
    time: int
    idle_time: int
    amounts: tuple[float, ...]

    def condensed(self) -> int:
        """Return the condensed work state as an unsigned number; places without a section read not installed."""
        value = sum(1 << 2 * place for place, on in enumerate(self.on) if on)
        return value | sum(3 << 2 * place for place in range(len(self.on), 16))


class Work:
    """Follow the antenna over a field and work out what the tool does."""

    def __init__(
        self,
        tool: Tool,
        field_ring: Ring,
        inner: Ring,
        *,
        doses: Sequence[Callable[[Metres], int]],
        per_m2: float,
        seed: str,
    ) -> None:
        self.tool, self.field, self.inner, self.doses, self.per_m2 = tool, field_ring, inner, doses, per_m2
        self.random = random.Random(seed)  # noqa: S311 - repeatable noise, no secret
        self.totals = Totals()
        self.real: tuple[int, ...] = (0,) * len(doses)

    def states(self, fixes: Iterable[Fix]) -> Iterator[State]:
        """Yield the state at every fix."""
        before: Fix | None = None
        for fix in fixes:
            on = tuple(self._sections(fix, before))
            middle = self._spot(fix, 0.0)
            wanted = tuple(dose(middle) for dose in self.doses)
            if fix.time == int(fix.time) or not any(on) or not any(self.real):
                self.real = tuple(self._real(want) if any(on) else 0 for want in wanted)
            if before:
                self._sum(fix.time - before.time, fix.speed, on)
            before = fix
            t = self.totals
            yield State(
                fix,
                on,
                wanted,
                self.real,
                int(t.area),
                int(1000 * t.distance),
                int(1000 * t.idle_distance),
                int(t.time),
                int(t.idle_time),
                tuple(t.amounts),
            )

    def _spot(self, fix: Fix, sideways: float) -> Metres:
        sine, cosine = math.sin(fix.heading), math.cos(fix.heading)
        back = -self.tool.trail
        return fix.east + back * sine + sideways * cosine, fix.north + back * cosine - sideways * sine

    def _sections(self, fix: Fix, before: Fix | None) -> Iterator[bool]:
        turning = 0.0
        if before:
            change = (fix.heading - before.heading + math.pi) % (2 * math.pi) - math.pi
            turning = change / (fix.time - before.time)
        for place in self.tool.centres():
            spot = self._spot(fix, place)
            if fix.phase == PASS:
                yield inside(spot, self.inner)
            elif fix.phase == ROUND:
                forward = fix.speed - turning * place > 0.4 * fix.speed
                yield forward and inside(spot, self.field) and not inside(spot, self.inner)
            else:
                yield False

    def _real(self, wanted: int) -> int:
        grain = max(1, wanted // 100)
        return round(wanted * (0.98 + 0.04 * self.random.random()) / grain) * grain

    def _sum(self, seconds: float, speed: float, on: tuple[bool, ...]) -> None:
        t = self.totals
        if not any(on):
            t.idle_time += seconds
            t.idle_distance += speed * seconds
            return
        size = speed * seconds * sum(width for width, open_ in zip(self.tool.widths, on, strict=True) if open_)
        t.time += seconds
        t.distance += speed * seconds
        t.area += size
        for index, real in enumerate(self.real):
            t.amounts[index] += size * real * self.per_m2
