"""How fast exact coverage is, as ratios to unions of the same ground on the same machine; judge the ratios only.

Floors: one GEOS union of all quadrilaterals, and one of the ribbons. The work: a 6 m bar of 8 sections, records each
2 m with 2 cm of noise, passes that overlap by 5 to 10 % (one in twenty leaves a gap), one round along the headland
with corners of 7 m, and runs of sections switched off. The whole chain is what ``taskdata.coverage`` does with a log of
the same drive: positions, headings, states, areas, rates, missed ground.
"""

from __future__ import annotations

import ctypes
import gc
import resource
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
import shapely

from taskdata import coverage
from taskdata.geometry import multiplicity, raster, ribbons, sweeps
from taskdata.geometry.headings import headings
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.logs import Log, Logged, LogRecords
from taskdata.model.machines import Machine, Part, PartKind, Quantity
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.tasks import Task

SIZES = (100_000, 1_000_000)
SECTIONS = 8
WIDTH = 6.0
STEP = 2.0
REPEATS = 3
SEED = 20260504


def run(sizes: tuple[int, ...] = SIZES, *, flicker: int = 100_000) -> dict[str, dict[str, float]]:
    """Print and return the figures for ordinary work of each size, and for flickering sections."""
    found = {f"ordinary {size}": _case(f"ordinary {size}", ordinary(size)) for size in sizes}
    first, last = (found[f"ordinary {size}"] for size in (sizes[0], sizes[-1]))
    if len(sizes) > 1:
        growth = np.log(last["areas_s"] / first["areas_s"]) / np.log(last["quads"] / first["quads"])
        print(f"growth: time goes with the number of sweeps to the power {growth:.2f}")  # noqa: T201  # it prints
    if flicker:
        found["flickering"] = _case("flickering", flickering(flicker))
    return found


def ordinary(sweep_count: int) -> sweeps.Strips:
    """Return strips with about so many active sweeps."""
    random = np.random.default_rng(SEED)
    side = float(np.sqrt(sweep_count / SECTIONS * STEP * WIDTH * 0.97))
    path, breaks = _drive(side, random)
    path = path + random.normal(0.0, 0.02, path.shape)
    active = np.ones((len(path), SECTIONS), dtype=bool)
    for section in range(SECTIONS):
        for start in random.integers(0, len(path), len(path) // 1500):
            active[start : start + random.integers(5, 60), section] = False
    active[breaks - 1] = False
    return _strips(path, breaks, active)


def flickering(sweep_count: int) -> sweeps.Strips:
    """Return strips whose sections are on for about 8 steps and off for about 2, each on its own."""
    random = np.random.default_rng(SEED)
    strips = ordinary(int(sweep_count / 0.8))
    shape = strips.active.shape
    turns = random.random(shape) < np.where(np.cumsum(random.random(shape) < 0.2, axis=0) % 5 == 0, 0.5, 0.125)
    on = np.cumsum(turns, axis=0) % 5 != 0
    return sweeps.Strips(strips.left, strips.right, strips.active & on)


def _drive(side: float, random: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Return records of a round and of passes to and fro, and the index of the first record of each pass but one."""
    corner = shapely.box(WIDTH / 2, WIDTH / 2, side - WIDTH / 2, side - WIDTH / 2).buffer(-7.0).buffer(7.0).exterior
    around = shapely.line_interpolate_point(corner, np.arange(0.0, corner.length, STEP))
    parts = [shapely.get_coordinates(around)]
    y, up = WIDTH, True
    x = WIDTH * 1.45
    while x < side - WIDTH:
        rows = np.arange(y, side - WIDTH, STEP)
        parts.append(np.column_stack([np.full(len(rows), x), rows if up else rows[::-1]]))
        up = not up
        x += WIDTH * (1.05 if random.random() < 0.05 else random.uniform(0.90, 0.95))
    return np.concatenate(parts), np.cumsum([len(part) for part in parts])[:-1]


def _strips(path: np.ndarray, breaks: np.ndarray, active: np.ndarray) -> sweeps.Strips:
    heading = np.concatenate([headings(part, 4.0 * STEP) for part in np.split(path, breaks)])
    edges = np.linspace(-WIDTH / 2, WIDTH / 2, SECTIONS + 1)
    return sweeps.strips(path, heading, edges[:-1], edges[1:], active)


def _case(name: str, strips: sweeps.Strips) -> dict[str, float]:
    quads = sweeps.pieces(strips).quads
    field = around(quads)
    peak = _peak_of(lambda: multiplicity.cover(ribbons.ribbons(strips)).worked)
    areas_s, cover = _timed(lambda: multiplicity.cover(ribbons.ribbons(strips)))
    all_s, _ = _timed(lambda: _everything(strips, field))
    raster_s, grid = _timed(lambda: raster.count(sweeps.pieces(strips).quads, 0.25))
    ribbons_s, _ = _timed(lambda: shapely.union_all(cover.shapes))
    polygons = ribbons.polygons(quads)
    quads_s, union = _timed(lambda: shapely.union_all(polygons), 1)
    found = {
        "quads": len(quads),
        "ribbons": len(cover.shapes),
        "areas_s": areas_s,
        "areas_to_quads": areas_s / quads_s,
        "areas_to_ribbons": areas_s / ribbons_s,
        "all_to_quads": all_s / quads_s,
        "all_to_ribbons": all_s / ribbons_s,
        "raster_to_areas": raster_s / areas_s,
        "peak_mb": peak,
        "worked_error": abs(cover.worked / shapely.area(union) - 1.0),
        "residual": cover.residual / cover.applied,
        "raster_error": abs(grid.area(1) - cover.worked) / grid.uncertainty(1),
    }
    found |= _whole(strips, field, quads_s)
    found["whole_to_ribbons"] = found["whole_s"] / ribbons_s
    print(name, {key: float(f"{value:.3g}") for key, value in found.items()})  # noqa: T201  # a benchmark prints
    return found


def around(quads: np.ndarray) -> Any:
    """Return the box around quadrilaterals."""
    return shapely.box(*shapely.total_bounds(shapely.multipoints(quads.reshape(-1, 2))))


def _whole(strips: sweeps.Strips, field: Any, quads_s: float) -> dict[str, float]:
    """Time the whole chain on a log whose antenna was at the middle of the bar."""
    whole = drive(strips, field)
    peak = _peak_of(lambda: coverage(whole).tasks[0].areas.worked_m2)
    seconds, _ = _timed(lambda: coverage(whole))
    found = {"whole_s": seconds, "whole_to_quads": seconds / quads_s, "whole_peak_mb": peak}
    return found | _written(whole, seconds)


def drive(strips: sweeps.Strips, field: Any) -> Dataset:
    """Return a set of one log whose antenna was at the middle of the bar, and of a field in the same plane."""
    plane = LocalPlane(7.0, 54.3)
    path = (strips.left[:, 0] + strips.right[:, -1]) / 2.0
    lonlat = plane.inverse(path - path.mean(axis=0))
    outline = plane.inverse(shapely.get_coordinates(shapely.get_exterior_ring(field)) - path.mean(axis=0))
    raw = (strips.active * (1 << 2 * np.arange(SECTIONS))).sum(axis=1)
    states = np.append(raw, raw[-1:])
    count = len(path)
    records = LogRecords(
        time=np.datetime64("2026-05-04T07:00:00", "ms") + np.arange(count) * np.timedelta64(1000, "ms"),
        lon=lonlat[:, 0],
        lat=lonlat[:, 1],
        up_m=None,
        status=None,
        value_record=np.repeat(np.arange(count), 2),
        value_index=np.tile(np.array([0, 1], dtype=np.uint8), count),
        value=np.column_stack([states, np.full(count, 2_000_000)]).ravel().astype(np.int32),
    )
    log = Log("TLG00001", (Logged(161, "DET2"), Logged(2, "DET2")), lambda: records)
    task = Task("TSK1", None, field="PFD1", logs=(log,), machines=("DVC1",))
    area = Area(AreaKind.BOUNDARY, (outline,))
    data = Dataset("drive", "isoxml", fields=(Field("PFD1", "Drive", boundaries=(area,)),), machines=(_sprayer(),))
    return data.with_changes(tasks=(task,))


def _written(whole: Dataset, seconds: float) -> dict[str, float]:
    """Time the same with the raster of what was applied, and with its runs as a layer, against the chain alone."""
    with tempfile.TemporaryDirectory() as folder:
        more = {
            "raster": {"raster": f"{folder}/a.tif", "cell_m": 5.0},
            "fine": {"raster": f"{folder}/b.tif", "cell_m": 0.5},
        }
        more["runs"] = {"output": f"{folder}/c.gpkg"}
        found = {}
        for name, arguments in more.items():
            took, _ = _timed(lambda chosen=arguments: coverage(whole, overwrite=True, **chosen))
            found[f"{name}_to_whole"] = took / seconds
            found[f"{name}_peak_mb"] = _peak_of(lambda chosen=arguments: coverage(whole, overwrite=True, **chosen))
    return found


def _sprayer() -> Machine:
    left = -500.0 * WIDTH
    size = 1000.0 * WIDTH / SECTIONS
    sections = [
        Part(
            f"DET{3 + index}",
            PartKind.SECTION,
            2 + index,
            3 + index,
            2,
            quantities=(Quantity(135, value=round(left + size * (index + 0.5))), Quantity(67, value=round(size))),
        )
        for index in range(SECTIONS)
    ]
    boom = Part("DET2", PartKind.FUNCTION, 1, 2, 1)
    return Machine("DVC1", parts=(Part("DET1", PartKind.DEVICE, 0, 1, 0), boom, *sections))


def _everything(strips: sweeps.Strips, field: Any) -> Any:
    cover = multiplicity.cover(ribbons.ribbons(strips))
    worked = cover.geometry(1)
    return cover.area(2), cover.geometry(2), shapely.difference(field, worked)


def _timed(work: Callable[[], Any], repeats: int = REPEATS) -> tuple[float, Any]:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        result = work()
        times.append(time.perf_counter() - start)
    return median(times), result


def _peak_of(work: Callable[[], Any]) -> float:
    """Return by how many MB the resident memory of the process grows at most during a work, looked at each 2 ms.

    What earlier works left behind is given back to the system first, so that it is not used again unseen.
    """
    gc.collect()
    ctypes.CDLL(None).malloc_trim(0)
    before, largest, done = _resident(), [0.0], threading.Event()

    def watch() -> None:
        while not done.wait(0.002):
            largest[0] = max(largest[0], _resident())

    watcher = threading.Thread(target=watch)
    watcher.start()
    work()
    done.set()
    watcher.join()
    return largest[0] - before


def _resident() -> float:
    """Return the resident memory of the process in MB."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize() / 2**20


if __name__ == "__main__":
    run()
