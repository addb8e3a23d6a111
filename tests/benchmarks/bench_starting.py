"""What a start costs: CPU seconds of whole processes, as ratios to loading the libraries that a call cannot do without.

Byte code is kept, as an installed package keeps it, in a folder of its own.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median

from tests.benchmarks.measure import show

ROUNDS = 7
SAMPLE = Path(__file__).parents[2] / "samples" / "office" / "TASKDATA"
CLICK, GEOMETRY = ["-c", "import click"], ["-c", "import numpy, shapely"]
CALLS = {
    "taskdata --help": (["-m", "taskdata", "--help"], CLICK),
    "inspect, small set": (["-m", "taskdata", "inspect", str(SAMPLE)], GEOMETRY),
    "check, small set": (["-m", "taskdata", "check", str(SAMPLE)], GEOMETRY),
    "inspect, its stick": (["-m", "taskdata", "inspect", str(SAMPLE.parent)], GEOMETRY),
    "check, its stick": (["-m", "taskdata", "check", str(SAMPLE.parent)], GEOMETRY),
}


def run(rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return the ratio of each call to its floor, all of them in turn."""
    every = {" ".join(words): words for words in [CLICK, GEOMETRY, *(call for call, _ in CALLS.values())]}
    with tempfile.TemporaryDirectory() as kept:
        surroundings = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        surroundings["PYTHONPYCACHEPREFIX"] = kept
        for words in every.values():
            _seconds(words, surroundings)
        times = {name: [] for name in every}
        for _ in range(rounds):
            for name, words in every.items():
                times[name].append(_seconds(words, surroundings))
    found = {name: median(seconds) for name, seconds in times.items()}
    rows, ratios = [("call", "CPU seconds", "floor", "ratio")], {}
    for title, (call, floor) in CALLS.items():
        seconds, least = found[" ".join(call)], found[" ".join(floor)]
        ratios[title] = seconds / least
        rows.append((title, f"{seconds:.3f}", f"{least:.3f}", f"{seconds / least:.2f}"))
    show(f"Starting (median of {rounds})", rows)
    return ratios


def _seconds(words: list[str], surroundings: dict[str, str]) -> float:
    """Return the CPU seconds of one process."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, *words], env=surroundings, stdout=subprocess.DEVNULL, check=False)
    assert done.returncode in {0, 1}, words
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
