"""What a main file of 1 GB costs: a command each, in a process of its own, with its CPU seconds and peak memory.

It takes minutes and room for the file, and some GB where a command needs them.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from tests.benchmarks.bench_checking import MAIN, POINTS
from tests.benchmarks.measure import show

FIELDS = 214_000
ACROSS = 463
COMMANDS = {
    "inspect": ("inspect",),
    "check": ("check", "--max-per-rule", "5"),
    "gpkg": ("convert", "{target}.gpkg"),
    "isoxml": ("convert", "{target}", "--to", "isoxml"),
}
_POINTS = '<PNT A="2" C="%s" D="%s"/>\n' * POINTS


def run(*names: str, fields: int = FIELDS) -> dict[str, float]:
    """Print peak MiB of the named commands, or of all, and return them as parts of 1 GB."""
    rows = [("command", "exit", "CPU seconds", "peak MiB")]
    found: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "TASKDATA" / "TASKDATA.XML"
        source.parent.mkdir()
        write_fields(source, fields)
        size = source.stat().st_size / 1e6
        for name in names or COMMANDS:
            command, *rest = COMMANDS[name]
            more = [word.format(target=Path(folder) / "target") for word in rest]
            code, seconds, peak = _measured([command, str(source.parent), *more])
            rows.append((name, str(code), f"{seconds:.0f}", f"{peak:.0f}"))
            found[f"{name}_to_gigabyte"] = peak * 2**20 / 1e9
    show(f"A main file of {size:.0f} MB with {fields * POINTS} points", rows)
    return found


def write_fields(path: Path, count: int) -> None:
    """Write fields like those of ``bench_checking``, side by side, from few texts of coordinates."""
    angles = np.linspace(0.0, 2.0 * np.pi, POINTS)
    ring = np.round(np.array([1.5e6 * np.sin(angles), 2.5e6 * np.cos(angles)])).astype(np.int64)
    ring[:, -1] = ring[:, 0]
    norths = [_texts(50_000_000_000 + row * 3_500_000 + ring[0]) for row in range(-(-count // ACROSS))]
    easts = [_texts(7_000_000_000 + column * 6_000_000 + ring[1]) for column in range(ACROSS)]
    square = np.pi * 0.0015 * 111_250 * 0.0025 * 111_320
    with path.open("w", encoding="utf-8") as stream:
        stream.write(f'{MAIN.partition("<PFD")[0]}<CTR A="CTR1" B="Hof"/>\n')
        for at in range(count):
            row, column = divmod(at, ACROSS)
            texts = [text for pair in zip(norths[row], easts[column], strict=True) for text in pair]
            area = square * np.cos(np.radians(50.0 + row * 0.0035))
            stream.write(f'<PFD A="PFD{at + 1}" C="Schlag {at}" D="{area:.0f}" E="CTR1"><PLN A="1"><LSG A="1">\n')
            stream.write(f"{_POINTS % tuple(texts)}</LSG></PLN></PFD>\n")
        stream.write("</ISO11783_TaskData>\n")


def _texts(billionths: np.typing.NDArray[np.int64]) -> list[str]:
    return [f"{value // 10**9}.{value % 10**9:09d}" for value in billionths.tolist()]


def _measured(words: Sequence[str]) -> tuple[int, float, float]:
    """Run a command; return its exit code, CPU seconds and peak MiB."""
    silent = [(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    argv = [sys.executable, "-m", "taskdata", *words]
    child = os.posix_spawn(sys.executable, argv, os.environ, file_actions=silent)
    _, status, used = os.wait4(child, 0)
    return os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime, used.ru_maxrss / 1024
