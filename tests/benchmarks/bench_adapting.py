"""What another version and a receiver cost, as ratio to reading and writing the set as it is."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from taskdata import api
from taskdata.model.receiver import Receiver
from tests.benchmarks.bench_checking import write_fields
from tests.benchmarks.measure import alternating, show

FIELDS = 3_000
ROUNDS = 3
TERMINAL = Receiver({"limits.points_in_ring": 80, "names.characters": "ascii", "names.longest": 12})


def run(fields: int = FIELDS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return seconds of conversions."""
    with tempfile.TemporaryDirectory() as folder:
        newer, older = Path(folder) / "newer", Path(folder) / "older"
        newer.mkdir()
        write_fields(newer / "TASKDATA.XML", fields)
        size = (newer / "TASKDATA.XML").stat().st_size / 1e6
        api.convert(newer, older, to="isoxml", version=3)

        def job(source: Path, **wish: Any) -> Callable[[], Any]:
            return lambda: api.convert(source, Path(folder) / "target", to="isoxml", overwrite=True, **wish)

        found = alternating(
            {
                "as it is": job(newer),
                "--version 3": job(newer, version=3),
                "--version 4, from 3": job(older, version=4),
                "--receiver: thinned, short names in ASCII": job(newer, receiver=TERMINAL),
                "--verify": job(newer, verify=True),
            },
            rounds,
        )
    rows = [("convert", "seconds", "ratio")]
    rows += [(name, f"{seconds:.2f}", f"{seconds / found['as it is']:.2f}") for name, seconds in found.items()]
    show(f"Adapting {size:.0f} MB, {fields} fields (median of {rounds})", rows)
    return {name: seconds / found["as it is"] for name, seconds in found.items()}
