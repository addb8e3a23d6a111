"""Between what the true areas lie, 95 of 100 times.

Each interval has a lasting part, which does not even out however long the work, and a random part of two standard
deviations. Lasting: a state that holds to the next record switches late, by nothing where it is logged when it changes,
by half an interval on average where it is logged at intervals, and by what lies on this side of the field's edge where
sections switch there; what the edges of passes hide or make up; bends; ground worked where positions are missing.
Random: where within an interval each switching fell; passes and the whole log lying to one side; the raster where one
is counted on.

Ground worked where positions are missing, or beyond the first and the last record, is taken to be missed ground, as far
as there is any.
"""

from __future__ import annotations

import math
from dataclasses import replace

from taskdata.dataclass import dataclass
from taskdata.fieldwork.sweeps.ground_cover import SweptGround
from taskdata.fieldwork.sweeps.position_gaps import ends_m2, gaps
from taskdata.fieldwork.uncertainty.area_doubts import KINDS, edge_doubts
from taskdata.fieldwork.uncertainty.edge_doubts import swept_m2, switched_m2, usual_m
from taskdata.fieldwork.uncertainty.switched_ground import Switched
from taskdata.geometry.multiplicity import Cover
from taskdata.results.areas import Areas, Interval

_SIGMAS = 2.0
_NOTHING = 1e-6


def with_intervals(areas: Areas, ground: SweptGround, switched: Switched) -> Areas:
    """Return areas with the interval of each kind of ground that is known, and what late switching may have made."""
    if not ground.works:
        return areas
    doubts = _doubts(ground, switched)
    found = {
        kind: doubts[kind].about(value, areas.field_m2 if kind == "missed" else None)
        for kind, value in areas.by_kind.items()
        if value is not None
    }
    return replace(
        areas,
        intervals=found,
        edge_m=_SIGMAS * max(usual_m(work) for work in ground.works),
        late_missed_m2=switched.late_m2("missed"),
        late_outside_m2=switched.late_m2("outside"),
    )


@dataclass(frozen=True, slots=True)
class _Doubt:
    """By how much a figure may be too high for good, too low for good, and either way at random, m²."""

    lower: float
    higher: float
    random: float

    def about(self, value: float, most: float | None) -> Interval:
        low, high = value - self.lower - self.random, value + self.higher + self.random
        return Interval(min(max(low, 0.0), value), max(high if most is None else min(high, most), value))


def _doubts(ground: SweptGround, switched: Switched) -> dict[str, _Doubt]:
    edges = edge_doubts(ground)
    changes, spread = (switched.gained(), switched.lost()), _spread(ground, switched)
    bends = sum(swept_m2(work) for work in ground.works)
    gone = sum(found.area_m2 + found.unsure_m2 for found in map(gaps, ground.works))
    gone += sum(map(ends_m2, ground.works))
    beyond = 0.0 if ground.missed is None else max(gone - float(ground.missed.area), 0.0)
    found = {}
    for kind in KINDS:
        amounts = [getattr(item, kind) for item in changes]
        least, most = switched.lasting(kind, sum(amounts))
        shares = [min(abs(part) / max(item.most, 1e-9), 1.0) for part, item in zip(amounts, changes, strict=True)]
        variance = sum(share * size for share, size in zip(shares, spread, strict=True)) + edges[kind].random ** 2
        missing = (gone if kind == "missed" else 0.0, gone if kind == "worked" else beyond)
        found[kind] = _Doubt(
            bends + edges[kind].lower + max(-least, 0.0) + missing[0],
            bends + edges[kind].higher + max(most, 0.0) + missing[1],
            math.hypot(_SIGMAS * math.sqrt(variance), _method(ground, kind)),
        )
    return found


def _spread(ground: SweptGround, switched: Switched) -> tuple[float, float]:
    """Return the variance of the ground that is gained, and lost, m⁴: switching falls anywhere in an interval."""
    parts = [switched_m2(work) for work in ground.works]
    opens, closes = (sum(float((sizes[number] ** 2).sum()) for sizes in parts) / 12.0 for number in (0, 1))
    return (closes, opens) if switched.middle else (opens, closes)


def _method(ground: SweptGround, kind: str) -> float:
    cover = ground.cover
    if isinstance(cover, Cover):
        return cover.residual
    return cover.uncertainty(2 if kind == "double" else 1)
