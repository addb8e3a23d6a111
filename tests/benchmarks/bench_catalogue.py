"""How the CPU seconds of a catalogue grow with the number of sets: reading them, and recognising and writing.

Sets are read in this process, so that all its seconds count. Beside them the peak of memory, and what a second call
takes that finds nothing new.
"""

from __future__ import annotations

import resource
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from unittest.mock import patch

import taskdata
from taskdata.archives import adding
from taskdata.batches.unit import Unit
from taskdata.results.batch import BatchedSource
from tests.benchmarks import growth_sets
from tests.benchmarks.bench_growth import exponents
from tests.benchmarks.measure import show

SIZES = (100, 200, 400)
KINDS = {"one farm": growth_sets.seasons, "many farms": growth_sets.different_sets}


def run(sizes: tuple[int, ...] = SIZES) -> dict[str, dict[str, float]]:
    """Print seconds, and return the exponents over n, 2n and 4n sets."""
    rows = [("sets", "read, s", "recognised and written, s", "called again, s", "peak MiB")]
    found = {}
    for name, write in KINDS.items():
        measured = [_seconds(write, count) for count in sizes]
        for count, seconds in zip(sizes, measured, strict=True):
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            rows.append((f"{name}, {count}", *(f"{each:.2f}" for each in seconds), f"{peak:.0f}"))
        parts = zip(("read", "recognised and written", "called again"), zip(*measured, strict=True), strict=True)
        found[name] = {part: exponents(seconds)[1] for part, seconds in parts}
        found[name] = {part: value for part, value in found[name].items() if value == value}  # noqa: PLR0124  # no NaN
    show("A catalogue of sets of ten fields", rows)
    return found


def _seconds(write: Callable[[Path, int], None], count: int) -> tuple[float, float, float]:
    """Return the CPU seconds of reading, of the rest of the first call, and of a second one."""
    reading = [0.0]

    def here(
        units: Iterator[Unit], workers: int, memory: int | None, work: Callable[[Unit], BatchedSource]
    ) -> Iterator[BatchedSource]:
        for unit in units:
            start = time.process_time()
            row = work(unit)
            reading[0] += time.process_time() - start
            yield row

    with tempfile.TemporaryDirectory() as folder, patch.object(adding, "over_processes", here):
        source, out = Path(folder) / "sets", Path(folder) / "out"
        write(source, count)
        start = time.process_time()
        taskdata.catalogue(source, out)
        first, read = time.process_time() - start, reading[0]
        start = time.process_time()
        taskdata.catalogue(source, out)
        return read, first - read, time.process_time() - start
