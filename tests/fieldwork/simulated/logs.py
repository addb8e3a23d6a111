"""What a terminal would have logged of a drive, as a data set of one task."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from taskdata.geometry.plane import LocalPlane
from taskdata.model.machines import Machine
from tests.fieldwork import build
from tests.fieldwork.simulated.motion import STEP_S

PLANE = LocalPlane(build.LON, build.LAT)


@dataclass(frozen=True)
class Receiver:
    """So many records a second from ``phase`` seconds on.

    Positions have white noise of ``noise`` metres and a slow error of ``drift`` metres (a time of 60 s), and the step
    of the standard, 1e-7 degree. ``gaps`` are pairs of seconds without records; ``speed`` logs its sign.
    """

    rate: float = 1.0
    phase: float = 0.0
    noise: float = 0.0
    drift: float = 0.0
    seed: int = 0
    speed: bool = False
    status: int | None = None
    gaps: tuple[tuple[float, float], ...] = ()


def dataset(drives, field, receiver=Receiver()):
    """A set of one task with a log for each drive and its states; these are those at the time of each record."""
    logs = [_log(drive, on, receiver, f"TLG{number:05d}") for number, (drive, on) in enumerate(drives, start=1)]
    outline, *holes = (shapely.get_coordinates(ring) for ring in shapely.get_rings(field))
    rig = drives[0][0].rig
    links = [("DVC1", "DET12", "DVC2", "DET29")]
    ground = build.field(outline, *holes, place=PLANE.inverse)
    return build.dataset(logs, [_tractor(rig), _implement(rig)], [ground], connections=links)


def _log(drive, on, receiver, file):
    random = np.random.default_rng(receiver.seed)
    times = np.arange(receiver.phase, drive.seconds[-1] + 1e-9, 1.0 / receiver.rate)
    for begin, end in receiver.gaps:
        times = times[(times < begin) | (times > end)]
    index = np.minimum(np.round(times / STEP_S).astype(int), len(on) - 1)
    scatter = random.normal(0.0, receiver.noise, (len(index), 2))
    places = drive.antenna[index] + scatter + _slow(random, times, receiver.drift)
    values = {(161, "DET21"): [build.condensed(row) for row in on[index].astype(int).tolist()]}
    if receiver.speed:
        values[397, "DET10"] = np.round(1000.0 * drive.speed[index]).astype(int)
    fixes = None if receiver.status is None else np.full(len(index), receiver.status)
    return build.log(places, values, seconds=drive.seconds[index], place=_place, status=fixes, file=file)


def _place(metres):
    return np.round(PLANE.inverse(metres) * 1e7) / 1e7


def _slow(random, times, size):
    """A first-order random process of that standard deviation, east and north."""
    found = np.zeros((len(times), 2))
    if size and len(times):
        found[0] = random.normal(0.0, size, 2)
        for row, passed in enumerate(np.diff(times), start=1):
            keep = np.exp(-passed / 60.0)
            found[row] = keep * found[row - 1] + random.normal(0.0, size * np.sqrt(1.0 - keep**2), 2)
    return found


def _tractor(rig) -> Machine:
    antenna = build.part("DET11", 7, 1, 1, ddi134=round(1000 * rig.antenna), ddi135=round(1000 * rig.antenna_right))
    kind = 1 if rig.trailed else 3
    hitch = build.part("DET12", 6, 2, 1, ddi134=round(-1000 * rig.hitch), ddi135=0, ddi157=kind)
    return Machine("DVC1", parts=(build.part("DET10", 1, 0), antenna, hitch))


def _implement(rig) -> Machine:
    boom = build.part("DET21", 2, 1, 1, ddi134=round(-1000 * rig.bar), ddi135=0)
    sections = [
        build.part(
            f"DET{40 + index}", 4, 2 + index, 2, ddi135=round(500 * (left + right)), ddi67=round(1000 * (right - left))
        )
        for index, (left, right) in enumerate(rig.edges)
    ]
    hitch = build.part("DET29", 6, 90, 1, ddi134=round(1000 * rig.trailed), ddi135=0, ddi157=1 if rig.trailed else 3)
    return Machine("DVC2", parts=(build.part("DET20", 1, 0), boom, *sections, hitch))
