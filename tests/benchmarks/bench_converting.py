"""What a conversion to a GeoPackage costs: a main file of 2,000,000 points with a log of 2,000,000 records.

Floor: 0.8 times the parse of the main file by lxml, which is the goal for reading, and a bare ``write_arrow`` of
the same finished tables. Imports are not counted; the peak is that of a process of its own.
"""

from __future__ import annotations

import tempfile
from functools import partial
from pathlib import Path

import pyarrow as pa
import pyogrio
from lxml import etree

from taskdata import api
from tests.benchmarks.bench_checking import MAIN, POINTS, write_log
from tests.benchmarks.bench_gigabyte import write_fields
from tests.benchmarks.measure import alternating, apart, show

FIELDS, RECORDS = 20_000, 2_000_000
ROUNDS = 3
READING = 0.8
"""Of a parse: what reading is to take."""


def run(fields: int = FIELDS, records: int = RECORDS, rounds: int = ROUNDS) -> dict[str, float]:
    """Print and return the ratio to the floor, and the peak in MiB."""
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        source = _write(room / "source", fields, records)
        target = room / "x.gpkg"  # made first: a process starts with the peak of the one that starts it
        peak = apart(__name__, ["to_geopackage"], [str(source), str(target)], 1)["to_geopackage"][1]
        jobs = {
            "parse": partial(etree.parse, source / "TASKDATA.XML"),
            "write": partial(_bare, _tables(target), room / "bare.gpkg"),
            "convert": partial(api.convert, source, target, overwrite=True),
        }
        seconds = alternating(jobs, rounds)
    floor = READING * seconds["parse"] + seconds["write"]
    ratio = seconds["convert"] / floor
    rows = [("parse", "bare write", "floor", "convert", "ratio", "peak MiB")]
    rows.append((*(f"{seconds[name]:.2f}" for name in ("parse", "write")), f"{floor:.2f}", f"{seconds['convert']:.2f}"))
    rows[-1] = (*rows[-1], f"{ratio:.2f}", f"{peak:.0f}")
    show(f"{fields * POINTS} points and {records} records to a GeoPackage, CPU seconds (median of {rounds})", rows)
    return {"convert_to_floor": ratio, "peak_mb": peak}


def to_geopackage(source: str, target: str) -> None:
    """Convert the set."""
    api.convert(source, target)


def _write(folder: Path, fields: int, records: int) -> Path:
    """Write a set of many fields and a task with a long log."""
    folder.mkdir()
    write_log(folder, records)
    main = folder / "TASKDATA.XML"
    write_fields(main, fields)
    task = MAIN[MAIN.index("<TSK") : MAIN.index("</ISO11783_TaskData>")]
    content = main.read_text(encoding="utf-8")
    main.write_text(content.replace("</ISO11783_TaskData>", f"{task}</ISO11783_TaskData>"), encoding="utf-8")
    return folder


def _tables(path: Path) -> dict[str, tuple[pa.Table, str | None]]:
    """Return the tables of a GeoPackage, each with its type of geometry."""
    found = {}
    for name, _ in pyogrio.list_layers(path):
        facts, table = pyogrio.read_arrow(path, layer=name)
        found[str(name)] = (table, facts["geometry_type"])
    return found


def _bare(tables: dict[str, tuple[pa.Table, str | None]], path: Path) -> None:
    path.unlink(missing_ok=True)
    for name, (table, kind) in tables.items():
        crs = None if kind is None else "EPSG:4326"
        column = None if kind is None else "geom"
        pyogrio.write_arrow(table, path, layer=name, driver="GPKG", geometry_name=column, geometry_type=kind, crs=crs)
