"""What a batch costs beside the work itself: ``check`` of generated sets, over processes and over a Dask scheduler.

The work of a set is what it takes in a process that does nothing else. Of a batch two things are measured: the CPU
seconds of its workers for a set, and the share of the time in which workers are busy. The first divided by the second
is the time to the ideal, which other work on the machine changes less than seconds. Over the scheduler one of two
workers is killed in the middle and another one started, and the summaries are compared.
"""

from __future__ import annotations

import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import taskdata
from taskdata import strict_json
from taskdata.batches import many, preloaded
from taskdata.batches.running import program
from taskdata.batches.running import run as do
from taskdata.batches.sources import units_of
from taskdata.batches.summary import csv_of, parquet_of
from taskdata.batches.unit import Unit, call_of
from taskdata.reports.batch_json import batch_document
from taskdata.results.batch import Batch, BatchedSource
from tests.batches import servers
from tests.benchmarks.bench_checking import write_fields, write_log
from tests.benchmarks.measure import apart, show
from tests.generate import build

COUNT = 2_000
ALONE = 200
WORKERS = 2
FEATURES = frozenset({"grids", "time logs", "holes"})
CPU = "cpu_ms"


@dataclass(frozen=True)
class Figures:
    """Seconds on the clock, CPU milliseconds for a set, and the share of time in which workers were busy."""

    seconds: float
    cpu_ms: float
    busy: float
    result: Batch | None = None


def timed(unit: Unit) -> BatchedSource:
    """Do a unit, and count its CPU milliseconds."""
    began = time.process_time()
    row = do(unit)
    return replace(row, counts={**row.counts, CPU: round((time.process_time() - began) * 1e3)})


def run(count: int = COUNT, alone: int = ALONE) -> dict[str, float]:
    """Print and return how long batches take, to the ideal."""
    assert preloaded.running
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        for seed in range(count):
            build(seed, 4, FEATURES, 1).write(home / "sets" / f"{seed:05}" / "TASKDATA")
        work = many.run
        many.run = timed
        try:
            found = {
                "one process": _alone(home, alone),
                "processes": _batch(home, "pool"),
                "Dask, a worker killed": _over_scheduler(home, count),
            }
        finally:
            many.run = work
        _show_sizes(home)
    return _shown(found, count)


def of_size(source: str, out: str) -> BatchedSource:
    """Do the unit of one source."""
    (unit,) = units_of(call_of("check", {}, out, program()), [source])
    return do(unit)


def summary(count: str) -> list[bytes]:
    """Make the summary of so many sources."""
    box = (7.0, 54.0, 7.1, 54.1)
    paths = [f"results/ab/2024-{number:07}-0123456789abcdef.json" for number in range(int(count))]
    rows = [BatchedSource(path, "ab" * 32, 0, path, path, 0.5, None, box, {"error": 1, "note": 2}) for path in paths]
    result = Batch("check", "out", tuple(rows))
    return [csv_of(result), parquet_of(result), strict_json.dumps(batch_document(result), indent=2).encode()]


def _show_sizes(home: Path) -> None:
    """Print what larger sets and the summary of many sources take."""
    (home / "fields" / "TASKDATA").mkdir(parents=True)
    write_fields(home / "fields" / "TASKDATA" / "TASKDATA.XML", 210)
    (home / "log" / "TASKDATA").mkdir(parents=True)
    write_log(home / "log" / "TASKDATA", 1_400_000)
    found = {
        "fields, 1.0 MB": apart(__name__, ["of_size"], [str(home / "fields"), str(home / "f")], 1)["of_size"],
        "log, 36 MB": apart(__name__, ["of_size"], [str(home / "log"), str(home / "l")], 1)["of_size"],
        "summary of 100,000 sources": apart(__name__, ["summary"], ["100000"], 1)["summary"],
    }
    rows = [(name, f"{seconds:.2f}", f"{peak:.0f}") for name, (seconds, peak) in found.items()]
    show("One worker's set, and the summary", [("what", "CPU seconds", "peak MiB"), *rows])


def _alone(home: Path, count: int) -> Figures:
    units = units_of(call_of("check", {}, str(home / "alone"), program()), [home / "sets"])
    began = time.monotonic()
    rows = [timed(unit) for unit in units[:: max(1, len(units) // count)]]
    return Figures(time.monotonic() - began, sum(row.counts[CPU] for row in rows) / len(rows), 1.0)


def _batch(home: Path, out: str, scheduler: str | None = None) -> Figures:
    began = time.monotonic()
    workers = None if scheduler else WORKERS
    result = taskdata.batch("check", home / "sets", home / out, workers=workers, scheduler=scheduler)
    seconds = time.monotonic() - began
    cpu = sum(row.counts[CPU] for row in result.sources) / len(result.sources)
    busy = sum(row.seconds for row in result.sources) / seconds / WORKERS
    return Figures(seconds, cpu, busy, result)


def _over_scheduler(home: Path, count: int) -> Figures:
    (home / "more").mkdir()
    with (
        servers.scheduler(home) as (_, address),
        servers.workers(home, address, WORKERS) as started,
        ExitStack() as later,
    ):

        def replace_one() -> None:
            started[0].kill()
            later.enter_context(servers.workers(home / "more", address, 1))

        with _in_the_middle(home / "cluster", count // 2, replace_one):
            return _batch(home, "cluster", address)


@contextmanager
def _in_the_middle(out: Path, finished: int, act: Callable[[], object]) -> Iterator[None]:
    """Act once so many sources are finished while the block runs."""
    over = threading.Event()

    def watch() -> None:
        while not over.wait(0.5):
            if sum(1 for _ in out.glob("finished/*/*.json")) >= finished:
                act()
                return

    thread = threading.Thread(target=watch)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def _told(result: Batch) -> list[BatchedSource]:
    return [replace(row, seconds=0.0, counts={**row.counts, CPU: 0}) for row in result.sources]


def _shown(found: dict[str, Figures], count: int) -> dict[str, float]:
    alone = found["one process"].cpu_ms
    rows = [("way", "seconds", "CPU ms a set", "to one process", "workers busy", "time to the ideal")]
    ideal = {}
    for name, item in found.items():
        ideal[name] = item.cpu_ms / alone / item.busy
        cells = (f"{item.seconds:.1f}", f"{item.cpu_ms:.1f}", f"{item.cpu_ms / alone:.2f}", f"{item.busy:.3f}")
        rows.append((name, *cells, f"{ideal[name]:.2f}"))
    show(f"Checking {count} sets with {WORKERS} workers (one process: a tenth of them)", rows)
    results = [item.result for item in found.values() if item.result is not None]
    same = all(_told(results[0]) == _told(result) for result in results)
    show("Summaries, without seconds", [("sets", "equal"), (str(len(results[0].sources)), str(same))])
    return ideal
