"""Ground on which a state changed between two records, so that nobody knows whether it was worked.

What it would change is told by points inside it, 16 in each piece, of many pieces of an even sample. Which missed and
outside ground it is, is cut out exactly where there are few pieces, and else when it is drawn.
"""

from __future__ import annotations

from functools import cache, cached_property
from typing import Any

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.fieldwork.implement import Switching
from taskdata.fieldwork.sweeps.ground_cover import SweptGround
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.geometry import sweeps
from taskdata.geometry.arrays import Points
from taskdata.geometry.loops import only_polygons
from taskdata.geometry.ribbons import outlines
from taskdata.geometry.sweeps import Quads

_FEW, _LOOKED_AT = 1500, 500
_SHARES = (np.arange(4) + 0.5) / 4.0


@dataclass(frozen=True, slots=True)
class GroundChange:
    """What changes with each kind of ground, m²."""

    worked: float = 0.0
    double: float = 0.0
    missed: float = 0.0
    outside: float = 0.0

    @property
    def most(self) -> float:
        """The ground of all of it that counts."""
        return max(abs(self.worked), abs(self.double))


class Switched:
    """Ground in doubt by switching.

    Parameters
    ----------
    ground : SweptGround
        What was covered.
    """

    def __init__(self, ground: SweptGround) -> None:
        self.ground = ground
        self._quads = cache(self._swept_quads)
        self._changed = cache(self._changed_ground)

    @cached_property
    def middle(self) -> bool:
        """Whether states were taken to change in the middle of intervals."""
        return any(work.settings.switching is Switching.MIDDLE for work in self.ground.works)

    @cached_property
    def missed(self) -> Any:
        """Missed ground that may have been worked, None without a field."""
        return self._cut(self.ground.missed, counted=False)

    @cached_property
    def outside(self) -> Any:
        """Ground outside the field, counted as worked, that may not have been; None without a field."""
        return self._cut(self.ground.outside, counted=True)

    def late_m2(self, kind: str) -> float | None:
        """Return the size of `missed` or `outside`."""
        missed = kind == "missed"
        if getattr(self.ground, kind) is None:
            return None
        if sum(len(self._quads(opens=opens, counted=not missed)) for opens in (True, False)) <= _FEW:
            return float(getattr(self, kind).area)
        return float(sum(abs(getattr(self._changed(opens=on, counted=not missed), kind)) for on in (True, False)))

    def gained(self) -> GroundChange:
        """Return what comes to each kind where ground was worked that was not counted as such, by late switching.

        Where states hold to the next record that is before they open; with the middle of intervals, after they close.
        """
        return self._changed(opens=not self.middle, counted=False)

    def lost(self) -> GroundChange:
        """Return what goes from each kind where ground was not worked that was counted as such, by late switching."""
        return self._changed(opens=self.middle, counted=True)

    def lasting(self, kind: str, late: float) -> tuple[float, float]:
        """Return the least and the most that switching changes on average, where late switching changes so much.

        States may be logged when they change, or at intervals, or sections may switch where the field ends: there the
        missed and outside ground of these intervals is all made by the log.
        """
        average = late if self.middle else late / 2.0
        at_edge = -(self.late_m2(kind) or 0.0) if kind in {"missed", "outside"} else 0.0
        return min(0.0, average, at_edge), max(0.0, average, at_edge)

    def _cut(self, ground: Any, *, counted: bool) -> Any:
        """Return the part of ground that lies in intervals in which a state changed."""
        if ground is None:
            return None
        quads = np.concatenate([self._quads(opens=opens, counted=counted) for opens in (True, False)])
        swept = shapely.union_all(outlines(quads))
        return only_polygons(shapely.intersection(swept, ground))

    def _swept_quads(self, *, opens: bool, counted: bool) -> Quads:
        """Return what the bars swept in intervals in which states open, or close, counted as worked or not."""
        return np.concatenate([np.empty((0, 4, 2)), *(_swept(work, opens, counted) for work in self.ground.works)])

    def _changed_ground(self, *, opens: bool, counted: bool) -> GroundChange:
        """Return what changes where the ground of such intervals is counted the other way."""
        quads, ground = self._quads(opens=opens, counted=counted), self.ground
        if len(quads) == 0:
            return GroundChange()
        whole = np.abs(sweeps.areas(quads))
        step = 1 + len(quads) // _LOOKED_AT
        places = _inner(quads[::step])
        size = np.repeat(whole[::step] * float(whole.sum() / max(whole[::step].sum(), 1e-9)), 16) / 16.0
        sign = -1.0 if counted else 1.0
        single = ~(ground.on_double if counted else ground.on_worked)(places)
        again = ~single if counted else ~single & ~ground.on_double(places)
        if ground.on_field is None:
            return GroundChange(sign * float(size[single].sum()), sign * float(size[again].sum()))
        inside = ground.on_field(places)
        amounts = [float(size[chosen].sum()) for chosen in (single, again, single & inside, single & ~inside)]
        return GroundChange(sign * amounts[0], sign * amounts[1], -sign * amounts[2], sign * amounts[3])


def _swept(work: LogWork, opens: bool, counted: bool) -> Quads:  # both are named where they come from
    strips = work.strips
    chosen = np.nonzero((work.opening if opens else work.closing) & (strips.active == counted))
    corners = (strips.right[:-1], strips.right[1:], strips.left[1:], strips.left[:-1])
    found = np.stack([corner[chosen] for corner in corners], axis=1)
    return np.asarray(found[np.isfinite(found).all(axis=(1, 2))])


def _inner(quads: Quads) -> Points:
    """Return 16 places in each of (m, 4, 2) quadrilaterals, (16 m, 2)."""
    along, across = (axis.reshape(1, -1, 1) for axis in np.meshgrid(_SHARES, _SHARES))
    one, two, three, four = (quads[:, corner][:, np.newaxis] for corner in range(4))
    near, far = one + (two - one) * along, four + (three - four) * along
    return np.asarray((near + (far - near) * across).reshape(-1, 2))
