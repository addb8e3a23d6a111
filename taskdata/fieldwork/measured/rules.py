"""Which measured records are left out, and why: each by the first rule that it breaks.

The rules follow published work on yield maps: records of turns and stops, of ground that was harvested before and of
speeds and values that cannot be are left out before a map is made (S. Blackmore and M. Moore, Precision Agriculture 1,
1999; G. Simbahan, A. Dobermann and J. Ping, Agronomy Journal 96, 2004; both from memory). Their limits here are those
of ``data/measuring.csv``, and of ``data/plausible.csv`` for values.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.fieldwork.measured.records import Flags, MeasuredRecords
from taskdata.geometry.arrays import Floats
from taskdata.geometry.ribbons import polygons
from taskdata.quantities.plausible import listed, usual
from taskdata.resources import table
from taskdata.results.measured import LeftOut

KEPT = -1
_ACROSS = 9
"""Spots across its width at which a record is looked at for ground that was worked before."""


@cache
def limit(rule: str) -> float:
    """Return the limit of a rule, in the unit of ``data/measuring.csv``."""
    return next(float(row["limit"]) for row in table("measuring") if row["rule"] == rule)


def sift(records: MeasuredRecords, ddi: int, *, needs_moisture: bool) -> tuple[NDArray[np.intp], tuple[LeftOut, ...]]:
    """Return by which rule each of n records is left out, (n,), `KEPT` for none; and all rules with their counts."""
    first = np.full(len(records.record), KEPT, dtype=np.intp)
    told: list[LeftOut] = []
    for name, why, broken in _rules(records, ddi, needs_moisture):
        fresh = broken & (first == KEPT)
        first[fresh] = len(told)
        told.append(LeftOut(name, why, int(fresh.sum())))
    return first, tuple(told)


def _rules(records: MeasuredRecords, ddi: int, needs_moisture: bool) -> Iterator[tuple[str, str, Flags]]:
    """Yield the name of each rule, what it leaves out, and which records that is."""
    slow, fast = limit("slowest"), limit("fastest")
    yield "no value", "without a value yet", np.isnan(records.raw)
    yield "held", "while the machine says that its yields are held (DDI 239)", records.frozen
    least, most = max(listed(ddi).least, usual(ddi).least), min(listed(ddi).most, usual(ddi).most)
    with np.errstate(invalid="ignore"):
        yield "impossible value", "with a value that cannot be", (records.raw < least) | (records.raw > most)
        yield "impossible speed", f"at more than {3.6 * fast:g} km/h", records.speed > fast
        yield "stop", f"at less than {3.6 * slow:g} km/h", (records.speed < slow) | (records.ground_m2 <= 0.0)
        turn, over = limit("turn"), limit("turn-over")
        yield "turn", f"where the course changes by more than {turn:g}° within {over:g} m", records.turn > turn
    share = limit("overlap")
    yield "overlap", f"with more than {100 * share:g} % of their ground worked before", again(records) > share
    if needs_moisture:
        yield "no moisture", "without a moisture", ~((records.moisture >= 0.0) & (records.moisture < 1.0))


def again(records: MeasuredRecords) -> Floats:
    """Return the share of the ground of each record that was worked before, (n,), by spots across its width."""
    quads, owner = records.quads, records.owner
    if not len(quads):
        return np.zeros(len(records.record))
    number = max(1, round(_ACROSS * len(np.unique(owner)) / len(quads)))
    across = (np.arange(number) + 0.5) / number
    one, other = (quads[:, 0] + quads[:, 1]) / 2.0, (quads[:, 2] + quads[:, 3]) / 2.0
    spots = one[:, np.newaxis] + across[:, np.newaxis] * (other - one)[:, np.newaxis]
    spot, piece = shapely.STRtree(polygons(quads)).query(shapely.points(spots.reshape(-1, 2)), predicate="intersects")
    mine = owner[spot // number]
    before = records.time[owner[piece]] < records.time[mine] - limit("overlap-after")
    worked = np.zeros(len(quads) * number, dtype=np.bool_)
    worked[spot[before]] = True
    share = np.bincount(owner, records.area * worked.reshape(-1, number).mean(axis=1), minlength=len(records.record))
    ground = records.ground_m2
    return np.divide(share, ground, out=np.zeros(len(ground)), where=ground > 0.0)
