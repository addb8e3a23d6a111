"""How the benchmarks measure: in pairs that take turns, by medians, and memory in a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from statistics import median
from typing import Any

_CHILD = """
import json, resource, sys, time
from {module} import {function} as job
start = time.process_time()
kept = job(*sys.argv[1:])
seconds = time.process_time() - start
print(json.dumps([seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""


def alternating(jobs: Mapping[str, Callable[[], Any]], rounds: int) -> dict[str, float]:
    """Run each job in turn, ``rounds`` times over; return the median CPU seconds of each."""
    times: dict[str, list[float]] = {name: [] for name in jobs}
    for _ in range(rounds):
        for name, job in jobs.items():
            start = time.process_time()
            job()
            times[name].append(time.process_time() - start)
    return {name: median(found) for name, found in times.items()}


def apart(module: str, functions: list[str], arguments: list[str], rounds: int) -> dict[str, tuple[float, float]]:
    """Run functions of a module in turn, each in a process of its own; return median CPU seconds and peak MiB."""
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in functions}
    for _ in range(rounds):
        for name in functions:
            code = _CHILD.format(module=module, function=name)
            done = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True)
            found[name].append(tuple(json.loads(done.stdout.splitlines()[-1])))
    return {name: (median(s for s, _ in runs), median(peak for _, peak in runs)) for name, runs in found.items()}


def show(title: str, rows: list[tuple[str, ...]]) -> None:
    """Print a table; the first row holds the headings."""
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    print(f"\n{title}")  # noqa: T201  # a benchmark prints
    for row in rows:
        cells = [row[0].ljust(widths[0]), *(cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True))]
        print("  " + "  ".join(cells))  # noqa: T201  # a benchmark prints
