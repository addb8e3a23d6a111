"""What a cleaning costs, as ratio to what it cannot do without: reading, auditing twice and writing."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from taskdata import api
from tests.benchmarks.bench_checking import write_fields
from tests.benchmarks.measure import apart, show

api.rules()  # loads every rule, which each process does once
FIELDS = 3_000
ROUNDS = 3
EVERY = 10
"""Of so many rings one is left open in the faulty set."""


def run(fields: int = FIELDS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return seconds and peak MiB of cleanings and of what they are measured against."""
    ratios = {}
    with tempfile.TemporaryDirectory() as folder:
        for name in ("sound", "faulty"):
            desk = Path(folder) / name
            (desk / "set").mkdir(parents=True)
            main = desk / "set" / "TASKDATA.XML"
            write_fields(main, fields)
            if name == "faulty":
                main.write_text(opened(main.read_text(encoding="utf-8")), encoding="utf-8")
            size = main.stat().st_size / 1e6
            found = apart(__name__, ["floor", "cleaning"], [str(desk)], rounds)
            _show(f"Cleaning a {name} set of {size:.0f} MB, {fields} fields", found, rounds)
            ratios[name] = found["cleaning"][0] / found["floor"][0]
    return ratios


def floor(desk: str) -> Any:
    """Read, audit, write and audit again."""
    target = Path(desk) / "written"
    data = api.read(Path(desk) / "set")
    found = [api.check(data)]
    api.write(data, target, to="isoxml", overwrite=True)
    return [*found, api.check(data)]


def cleaning(desk: str) -> Any:
    """Clean with every repair there is."""
    return api.clean(Path(desk) / "set", Path(desk) / "clean", review=True, overwrite=True)


def opened(text: str) -> str:
    """Return a set whose every tenth ring lacks its last point."""
    parts = text.split("</LSG>")
    for at in range(0, len(parts) - 1, EVERY):
        parts[at] = parts[at][: parts[at].rindex("<PNT")]
    return "</LSG>".join(parts)


def _show(title: str, found: dict[str, tuple[float, float]], rounds: int) -> None:
    rows = [("what", "CPU seconds", "ratio", "peak MiB")]
    for name, told in (("floor", "read, audit twice, write"), ("cleaning", "clean --review")):
        seconds, peak = found[name]
        rows.append((told, f"{seconds:.2f}", f"{seconds / found['floor'][0]:.2f}", f"{peak:.0f}"))
    show(f"{title} (median of {rounds})", rows)
