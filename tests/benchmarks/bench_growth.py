"""How CPU seconds grow with the number of things: exponents of commands over sets of n, 2n and 4n of one kind.

Of each set the seconds that a very small one of its kind takes are taken off, so that start-up and imports do not
count. A run is a process of its own, made of one in which everything is imported. Fields, or rows, that double cost
twice as much where the exponent is 1, four times as much where it is 2.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import isnan, log2
from pathlib import Path

from taskdata.cli import main
from tests.benchmarks import growth_sets as sets
from tests.benchmarks.measure import show

LARGEST = 1.25
"""Exponents above are marked."""
LEAST_S = 0.15
"""What the last doubling has to add in CPU seconds, or else its exponent is noise and not told."""
BASE = 4
ROUNDS = 3
COMMANDS = {
    "inspect": ["inspect", "{}"],
    "check": ["check", "{}"],
    "clean": ["clean", "--review", "{}", "{target}"],
    "merge": ["merge", "{}", "{}", "{target}"],
    "merge all": ["merge", "{}/*", "{target}"],
    "convert": ["convert", "{}", "{target}.gpkg"],
    "convert to ISO-XML": ["convert", "{}", "{target}", "--to", "isoxml"],
    "coverage": ["coverage", "{}", "--width", f"{sets.WIDTH_M:g}"],
    "coverage of sections": ["coverage", "{}"],
    "compare": ["compare", "{}", "{}"],
}


@dataclass(frozen=True)
class Series:
    """Sets of one kind: how they are written, the smallest number, and the commands that it is a question for."""

    write: Callable[[Path, int], None]
    number: int
    commands: tuple[str, ...]


_XML = ("inspect", "check", "clean", "merge", "convert", "compare")
SERIES = {
    "fields": Series(sets.fields, 1000, _XML),
    "fields on the same ground": Series(sets.fields_on_the_same_ground, 100, _XML),
    "links": Series(sets.links, 2000, _XML),
    "references": Series(sets.references, 4000, _XML),
    "dangling references": Series(sets.dangling_references, 1500, _XML),
    "texts": Series(sets.texts, 2500, _XML),
    "one long text": Series(sets.long_text, 2_000_000, ("inspect", "check", "clean", "convert")),
    "attributes": Series(sets.attributes, 1500, _XML),
    "sections": Series(sets.sections, 400, ("check", "clean", "coverage of sections")),
    "zones": Series(sets.zones, 1600, _XML),
    "guidance lines": Series(sets.guidance, 1000, _XML),
    "passes": Series(sets.passes, 100, ("check", "coverage")),
    "long logs": Series(sets.long_logs, 20_000, ("inspect", "check", "convert", "coverage", "compare")),
    "short logs": Series(sets.short_logs, 60, ("inspect", "check", "clean", "merge", "convert", "coverage", "compare")),
    "logs in a zip": Series(sets.logs_in_a_zip, 100, ("inspect", "check", "convert to ISO-XML")),
    "external files in a zip": Series(sets.external_files_in_a_zip, 200, ("inspect", "check", "convert to ISO-XML")),
    "rows of a layer": Series(sets.rows, 500, ("inspect", "check", "convert to ISO-XML", "compare")),
    "layers": Series(sets.layers, 30, ("inspect", "check", "convert to ISO-XML")),
    "rings to repair": Series(sets.open_rings, 200, ("check", "clean", "convert to ISO-XML")),
    "rings that cross themselves": Series(sets.crossing_rings, 200, ("clean",)),
    "points of a ring to repair": Series(sets.long_ring, 50_000, ("check", "clean", "convert to ISO-XML")),
    "equal sets": Series(sets.equal_sets, 100, ("merge all",)),
    "different sets": Series(sets.different_sets, 60, ("merge all",)),
}
QUICK = ("fields on the same ground", "links", "logs in a zip", "points of a ring to repair")


def run(*names: str, quick: bool = False) -> dict[str, float]:
    """Print and return the exponents over n, 2n and 4n of the named commands and series, or of all where none is named.

    ``quick`` takes few series, one round and `check` alone.
    """
    kinds = QUICK if quick else [name for name in names if name in SERIES] or list(SERIES)
    wanted = ["check"] if quick else [name for name in names if name in COMMANDS] or list(COMMANDS)
    found = {}
    table = [("things, from n", "command", "n", "2n", "4n", "last doubling", "overall", "")]
    rounds = 1 if quick else ROUNDS
    for name in kinds:
        series = SERIES[name]
        commands = [command for command in series.commands if command in wanted]
        for command, seconds in _measured(series, commands, rounds):
            last, overall = exponents(seconds)
            found[f"{name}: {command}"] = overall
            mark = "grows faster" if max(last, overall) > LARGEST else ""
            shown = [*(f"{each:.2f}" for each in seconds), _told(last), _told(overall)]
            table.append((f"{name}, {series.number}", command, *shown, mark))
            sys.stderr.write(f"{'  '.join(table[-1])}\n")
    show(f"Growth of CPU seconds beyond the base (least of {rounds})", table)
    return {name: value for name, value in found.items() if not isnan(value)}


def _measured(series: Series, commands: Sequence[str], rounds: int) -> Iterator[tuple[str, list[float]]]:
    numbers = (BASE, series.number, 2 * series.number, 4 * series.number)
    with tempfile.TemporaryDirectory() as folder:
        for count in numbers if commands else ():
            series.write(Path(folder) / str(count), count)
        for command in commands:
            yield command, _seconds(Path(folder), numbers, command, rounds)


def exponents(seconds: Sequence[float]) -> tuple[float, float]:
    """Return the exponent of the last doubling and the one over both; NaN where seconds are too few to tell.

    >>> exponents([1.0, 2.0, 8.0])
    (2.0, 1.5)
    """
    first, second, third = seconds
    if third - second < LEAST_S or first <= 0.0:
        return float("nan"), float("nan")
    return log2(third / second), log2(third / first) / 2.0


def _told(exponent: float) -> str:
    return "too fast to tell" if isnan(exponent) else f"{exponent:.2f}"


def _seconds(folder: Path, numbers: Sequence[int], command: str, rounds: int) -> list[float]:
    """Return the CPU seconds that a command takes of each number beyond those of the first."""
    seconds_of(folder, numbers[0], command)
    gc.collect()
    gc.freeze()  # or else the first full collection of each run touches, and copies, all that was there before
    forks = multiprocessing.get_context("fork")
    found: dict[int, list[float]] = {number: [] for number in numbers}
    for _ in range(rounds):
        for number in numbers:
            queue = forks.SimpleQueue()
            child = forks.Process(target=lambda: queue.put(seconds_of(folder, number, command)))  # noqa: B023  # at once
            child.start()
            child.join()
            if child.exitcode:
                raise RuntimeError(f"{command} of {number} failed")
            found[number].append(queue.get())
    base, *rest = (min(found[number]) for number in numbers)
    return [max(seconds - base, 0.0) for seconds in rest]


def seconds_of(folder: Path, number: int, command: str) -> float:
    """Run a command on the set of so many things, with what it prints thrown away; return its CPU seconds."""
    source, target = folder / str(number), folder / "target"
    words: list[str] = []
    for word in COMMANDS[command]:
        if word == "{}/*":
            words += map(str, sorted(source.iterdir()))
        else:
            words.append(word.format(source, target=target))
    kept = os.dup(1)
    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        os.dup2(nowhere.fileno(), 1)
        start = time.process_time()
        try:
            main([*words, "--quiet"])
        except SystemExit as end:
            if end.code not in (0, 1):
                raise RuntimeError(f"{command} of {number} ended with exit code {end.code}") from None
        finally:
            seconds = time.process_time() - start
            sys.stdout.flush()
            os.dup2(kept, 1)
            os.close(kept)
    for made in folder.glob("target*"):
        shutil.rmtree(made) if made.is_dir() else made.unlink()
    return seconds
