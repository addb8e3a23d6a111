"""CPU seconds and peak memory of what is done with a log of very many records: ``python -m`` this, records, jobs.

Without names of jobs all are run, each in a process of its own. 50,000,000 records are 1.3 GB.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from taskdata import api
from tests.benchmarks.bench_checking import write_log
from tests.benchmarks.measure import apart, show

RECORDS = 50_000_000
JOBS = ("inspect", "check", "to_isoxml", "to_parquet", "to_geopackage")


def run(records: int = RECORDS, jobs: tuple[str, ...] = JOBS) -> dict[str, tuple[float, float]]:
    """Print and return CPU seconds and peak MiB of each job."""
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "log", Path(folder) / "target"
        source.mkdir()
        write_log(source, records)
        for job in jobs:
            target.mkdir()
            found[job] = apart("tests.benchmarks.bench_long_logs", [job], [str(source), str(target)], 1)[job]
            shutil.rmtree(target)
    rows = [(job, f"{seconds:.1f}", f"{peak:.0f}") for job, (seconds, peak) in found.items()]
    show(f"A log of {records} records", [("what", "CPU seconds", "peak MiB"), *rows])
    return found


def inspect(source: str, _target: str) -> None:
    """Look into the set."""
    api.survey(source)


def check(source: str, _target: str) -> None:
    """Audit the set."""
    api.check(source)


def to_isoxml(source: str, target: str) -> None:
    """Convert it to a folder of ISO-XML."""
    api.convert(source, Path(target) / "set", to="isoxml")


def to_parquet(source: str, target: str) -> None:
    """Convert it to a folder of GeoParquet."""
    api.convert(source, Path(target) / "layers", to="parquet")


def to_geopackage(source: str, target: str) -> None:
    """Convert it to a GeoPackage."""
    api.convert(source, Path(target) / "set.gpkg")


if __name__ == "__main__":
    run(int(sys.argv[1]) if sys.argv[1:] else RECORDS, tuple(sys.argv[2:]) or JOBS)
