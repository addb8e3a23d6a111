"""The layers of a catalogue: years, columns, GeoParquet as published, and what other programs make of them."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import duckdb
import geopandas
import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
import shapely
from pyproj import CRS

import taskdata
from taskdata.archives.layers import LAYERS
from taskdata.archives.pages import BEGIN, END, page
from taskdata.archives.years import year_of_set, year_of_task
from taskdata.isoxml.reading.read import read_document
from taskdata.model.tasks import WorkTime
from tests import samples
from tests.archives.conftest import rows
from tests.benchmarks import growth_sets

PAGE = (Path(__file__).parents[2] / "schemas" / "README.md").read_text(encoding="utf-8")
TYPES = {"Point", "LineString", "Polygon", "MultiPoint", "MultiLineString", "MultiPolygon", "GeometryCollection"}


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue of all samples, by workers of its own."""
    folder = tmp_path_factory.mktemp("catalogue") / "out"
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("taskdata.archives.adding.over_processes", lambda units, *_: map(_[-1], units))
        patched.setattr("taskdata.archives.adding.closing", _Plain)
        taskdata.catalogue(samples.SAMPLES, folder)
    return folder


class _Plain:
    def __init__(self, thing: object) -> None:
        self.thing = thing

    def __enter__(self) -> object:
        return self.thing

    def __exit__(self, *_: object) -> None:
        getattr(self.thing, "close", lambda: None)()


def test_every_file_is_geoparquet_as_published(out: Path) -> None:
    """GeoParquet 1.1.0, "File metadata" and "Column metadata", from memory."""
    seen = 0
    for name, spec in LAYERS.items():
        for path in out.glob(f"{name}/*/*.parquet"):
            footer = pq.read_metadata(path).metadata or {}
            assert (b"geo" in footer) == (spec.geometry is not None), path
            if spec.geometry is not None:
                _assert_published(json.loads(footer[b"geo"]), pq.read_table(path, partitioning=None))
                seen += 1
    assert seen > 10


def _assert_published(geo: dict[str, Any], table: pa.Table) -> None:
    assert geo["version"] == "1.1.0"
    assert set(geo["columns"]) == {geo["primary_column"]} == {"geometry"}
    column = geo["columns"]["geometry"]
    assert column["encoding"] == "WKB"
    assert CRS.from_json_dict(column["crs"]) == CRS("OGC:CRS84")
    shapes = shapely.from_wkb(np.array(table["geometry"].to_pylist(), dtype=object))
    known = [shape for shape in shapes if shape is not None]
    assert set(column["geometry_types"]) == {shape.geom_type for shape in known} <= TYPES
    assert len(column["geometry_types"]) == len(set(column["geometry_types"]))
    if known:
        assert column["bbox"] == pytest.approx(list(shapely.total_bounds(known)), abs=0)
    else:
        assert "bbox" not in column
    for ring in shapely.get_rings([shape for shape in known if shape.geom_type == "Polygon"]):
        assert ring.is_closed


def test_every_row_says_what_it_is_of(out: Path) -> None:
    for name in LAYERS:
        if name != "sets":
            found = rows(out, name, 'count(*), count(identity), count("set"), count(source)')
            assert found[0][0] > 0
            assert len(set(found[0])) == 1, name
    assert rows(out, "fields", "count(*)") == rows(out, "fields", 'count(DISTINCT (identity, "set"))')


def test_columns_are_those_that_the_page_describes(out: Path) -> None:
    assert page(PAGE) == PAGE
    section = PAGE.partition(BEGIN)[2].partition(END)[0]
    described = {
        name: re.findall(r"^\| `(\w+)`", text, re.MULTILINE)
        for name, text in re.findall(r"\n### `(\w+)`[^\n]*\n(.*?)(?=\n### |\Z)", section, re.DOTALL)
    }
    for name, spec in LAYERS.items():
        path = next(out.glob(f"{name}/*/*.parquet"))
        assert pq.read_schema(path).names == described[name] + ["geometry"] * (spec.geometry is not None), name


def test_values_are_those_of_the_sets(out: Path) -> None:
    data = taskdata.read(samples.MACHINE)
    found = rows(out, "fields", "id, area_m2", "WHERE source LIKE '%machine%' ORDER BY id")
    table = data.table("fields").to_pydict()
    assert dict(found) == dict(zip(table["id"], table["area_m2"], strict=True))
    logs = rows(out, "logs", "id, records", "WHERE source LIKE '%machine%'")
    assert dict(logs) == {log.file: log.length for task in data.tasks for log in task.logs}
    machines = rows(out, "machines", "id, client_name, sections", "WHERE source LIKE '%machine%'")
    assert set(machines) == {(item.id, item.client_name, len(item.sections)) for item in data.machines}
    assert rows(out, "guidance", "count(*)", "WHERE source LIKE '%machine%'") == [(len(data.guidance),)]


def test_rows_name_each_other_by_identity(out: Path) -> None:
    logs, tasks, fields = (f"'{out}/{name}/*/*.parquet'" for name in ("logs", "tasks", "fields"))
    words = (
        f"FROM {logs} l JOIN {tasks} t ON l.task_identity = t.identity AND l.source = t.source "
        f"JOIN {fields} f ON t.field_identity = f.identity AND f.source = t.source AND l.field_identity = f.identity "
        "SELECT count(*)"
    )
    with duckdb.connect() as database:
        ((joined,),) = database.execute(words).fetchall()
    assert joined > 5
    ((named,),) = rows(out, "tasks", "count(*)", "WHERE machines IS NOT NULL")
    known = {identity for (identity,) in rows(out, "machines", "identity")}
    used = {name for (text,) in rows(out, "tasks", "machines") if text for name in text.split()}
    assert named > 0
    assert used <= known


def test_geopandas_reads_a_layer_as_one(out: Path) -> None:
    frame = geopandas.read_parquet(out / "fields")
    assert frame.crs == "OGC:CRS84"
    assert len(frame) == rows(out, "fields", "count(*)")[0][0]
    assert set(frame["year"].astype(str)) == {year for (year,) in rows(out, "fields", "DISTINCT year")}
    projected = frame[frame["area_m2"] > 1].to_crs(25832)
    assert projected.area.to_numpy() == pytest.approx(frame.loc[frame["area_m2"] > 1, "area_m2"], rel=2e-3)


def test_years_are_those_of_the_first_times(out: Path) -> None:
    assert set(rows(out, "tasks", "DISTINCT year", "WHERE source LIKE '%older%'")) == {("2019",)}
    times = rows(out, "tasks", "year, min(start)", "WHERE start IS NOT NULL GROUP BY year")
    assert {(year, f"{start.year}") for year, start in times} == {(year, year) for year, _ in times}
    assert ("unknown",) in rows(out, "fields", "DISTINCT year")


def test_a_set_belongs_to_its_latest_task_else_to_its_latest_stamp(tmp_path: Path) -> None:
    def year(content: str) -> int | None:
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        growth_sets.write(folder, content)
        return year_of_set(taskdata.read(folder).tasks, read_document(folder))

    task = '<TSK A="TSK{0}" G="4"><TIM A="{1}-04-01T10:00:00" B="{2}-04-01T11:00:00" D="4"/></TSK>'
    assert year(task.format(1, 2022, 2024) + task.format(2, 2023, 2023)) == 2023
    assert year('<TSK A="TSK1" G="1"/><CTR A="CTR1" B="Hof"/>') is None
    stamped = '<TSK A="TSK1" G="1"><DAN A="A00A800046F00111"><ASP A="2021-05-01T08:00:00" D="1"/></DAN></TSK>'
    assert year(stamped) == 2021
    assert year(task.format(1, 1980, 1980)) is None


def test_a_task_without_times_belongs_to_its_log(tmp_path: Path) -> None:
    growth_sets.short_logs(tmp_path / "set", 1)
    (task,) = taskdata.read(tmp_path / "set").tasks
    assert year_of_task(task) == 2024  # day 16,100 after 1980-01-01
    stated = type(task)(**{**{name: getattr(task, name) for name in ("id", "status", "logs")}, "times": _times("2020")})
    assert year_of_task(stated) == 2020


def _times(year: str) -> tuple[WorkTime, ...]:
    return (WorkTime(4, f"{year}-06-01T08:00:00"),)
