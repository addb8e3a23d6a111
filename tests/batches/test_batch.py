"""A batch over a dozen generated sets: results, summary, what is done again, and what a fault costs."""

from __future__ import annotations

import csv
import io
import json
import shutil
from dataclasses import replace
from pathlib import Path

import geopandas
import pyarrow.parquet as pq
import pytest
import shapely

import taskdata
from taskdata.batches import commands
from taskdata.batches.running import program, run
from taskdata.batches.sources import units_of
from taskdata.batches.summary import csv_of, parquet_of
from taskdata.batches.unit import call_of
from taskdata.reports.check_json import check_document
from taskdata.results.batch import Batch, BatchedSource
from taskdata.staging.owner import this_process
from tests.batches.conftest import files_in, told

SELECT = "reference"


def test_each_source_has_the_result_of_the_command(archive: Path, here: list[str], tmp_path: Path) -> None:
    result = taskdata.batch("check", archive, tmp_path / "out", select=SELECT)
    assert len(result.sources) == len(here) == 12
    assert {row.result for row in result.sources} == {row.document for row in result.sources}
    for row in result.sources[::4]:
        report = taskdata.check(row.source, select=SELECT, repairs=True)
        document = json.loads((tmp_path / "out" / str(row.result)).read_text())
        assert document == json.loads(json.dumps(check_document(report)))
        assert (row.exit, dict(row.counts)) == (int(report.summary["error"] > 0), report.summary)


def test_the_summary_is_one_in_three_forms(archive: Path, here: list[str], tmp_path: Path) -> None:
    (archive / "2021" / "stick 1" / "TASKDATA" / "TASKDATA.XML").write_bytes(b"<ISO11783_TaskData")
    out = tmp_path / "out"
    result = taskdata.batch("inspect", archive, out)
    document = json.loads((out / "summary.json").read_text())
    assert document["command"] == "inspect"
    assert [row["source"] for row in document["sources"]] == [row.source for row in result.sources]
    assert document["totals"]["sources"] == 12
    assert document["totals"]["failed"] == 1
    assert document["totals"]["exit"]["3"] == 1
    assert sum(document["totals"]["exit"].values()) == 12
    rows = list(csv.DictReader(io.StringIO((out / "summary.csv").read_bytes().decode())))
    frame = geopandas.read_parquet(out / "summary.parquet")
    assert frame.crs == "OGC:CRS84"
    for row, cells, (_, record) in zip(document["sources"], rows, frame.iterrows(), strict=True):
        assert row["source"] == cells["source"] == record["source"]
        assert str(row["exit"]) == cells["exit"] == str(record["exit"])
        assert (row["error"] or "") == cells["error"]
        if row["bounds"] is not None:
            assert [float(cells[name]) for name in ("west", "south", "east", "north")] == row["bounds"]
            west, south, east, north = record["geometry"].bounds
            assert [west, south, east, north] == row["bounds"] or row["bounds"][0] > row["bounds"][2]
    assert sum(row["bounds"] is not None for row in document["sources"]) > 5


def test_what_is_finished_is_not_done_again(archive: Path, here: list[str], tmp_path: Path) -> None:
    out = tmp_path / "out"
    first = taskdata.batch("check", archive, out, select=SELECT)
    before = files_in(out)
    again = taskdata.batch("check", archive, out, select=SELECT)
    assert told(first) == told(again)
    assert all(row.kept for row in again.sources)
    assert files_in(out) == before

    changed = Path(first.sources[0].source) / "TASKDATA.XML"
    changed.write_bytes(changed.read_bytes() + b"\n")
    third = taskdata.batch("check", archive, out, select=SELECT)
    assert [row.source for row in third.sources if not row.kept] == [first.sources[0].source]
    assert third.sources[0].digest != first.sources[0].digest

    (out / str(first.sources[1].result)).unlink()
    (out / str(first.sources[2].result).replace("results", "finished")).write_text('{"call": ')
    fourth = taskdata.batch("check", archive, out, select=SELECT)
    assert [row.source for row in fourth.sources if not row.kept] == [row.source for row in first.sources[1:3]]
    assert files_in(out).keys() == before.keys()


def test_other_options_are_done_again(archive: Path, here: list[str], tmp_path: Path) -> None:
    profile = tmp_path / "profile.toml"
    profile.write_text("[geometry.spike]\nangle = 3.0\n")
    archive = archive / "2020"
    taskdata.batch("check", archive, tmp_path / "out", select=SELECT, profile=profile)
    same = taskdata.batch("check", archive, tmp_path / "out", select=[SELECT], profile=profile)
    assert all(row.kept for row in same.sources)
    profile.write_text("[geometry.spike]\nangle = 4.0\n")
    assert not any(
        row.kept for row in taskdata.batch("check", archive, tmp_path / "out", select=SELECT, profile=profile).sources
    )
    assert not any(row.kept for row in taskdata.batch("check", archive, tmp_path / "out", select=SELECT).sources)


def test_a_fault_costs_its_source_alone_and_is_tried_again(archive: Path, here: list[str], tmp_path: Path) -> None:
    out, sources = tmp_path / "out", sorted((archive / "2020").iterdir())
    main = sources[0] / "TASKDATA" / "TASKDATA.XML"
    sound = main.read_bytes()
    main.write_bytes(sound[: len(sound) // 2])
    (archive / "2020" / "no.zip").write_bytes(b"PK\x03\x04 no archive")
    first = taskdata.batch("check", [archive / "2020", tmp_path / "nothing"], out, select=SELECT)
    failed = {Path(row.source).name: row for row in first.sources if row.exit > 1}
    assert {name: row.exit for name, row in failed.items()} == {"TASKDATA": 3, "no.zip": 3, "nothing": 3}
    assert all(row.result is None and row.error and row.error.startswith(row.source) for row in failed.values())
    assert first.exit_code == 3
    main.write_bytes(sound)
    second = taskdata.batch("check", archive / "2020", out, select=SELECT)
    assert [row.source for row in second.sources if not row.kept] == [f"{archive}/2020/no.zip", str(main.parent)]
    assert [row.exit > 1 for row in second.sources].count(True) == 1


def test_a_defect_costs_its_source_alone(
    archive: Path, here: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bounds = commands.bounds

    def broken(data: taskdata.Dataset) -> object:
        if "stick 2" in data.source:
            raise ZeroDivisionError("by nothing")
        return bounds(data)

    monkeypatch.setattr(commands, "bounds", broken)
    result = taskdata.batch("check", archive / "2020", tmp_path / "out", select=SELECT)
    (failed,) = (row for row in result.sources if row.error)
    assert failed.error == f"{archive}/2020/stick 2/TASKDATA: failed (ZeroDivisionError: by nothing)"


def test_converting_and_cleaning_write_a_target_each(archive: Path, here: list[str], tmp_path: Path) -> None:
    source = archive / "2020" / "stick 0"
    (row,) = taskdata.batch("convert", source, tmp_path / "gpkg", to="gpkg").sources
    layers = taskdata.read(tmp_path / "gpkg" / str(row.result))
    assert taskdata.compare(layers, taskdata.read(source)).equal
    assert json.loads((tmp_path / "gpkg" / str(row.document)).read_text())["target"] == row.result
    taskdata.batch("convert", source, tmp_path / "gpkg", to="gpkg", raw=True)
    assert len(list((tmp_path / "gpkg" / "results").glob("*/*"))) == 2

    (row,) = taskdata.batch("clean", source, tmp_path / "clean").sources
    assert taskdata.read(tmp_path / "clean" / str(row.result)).fields
    assert len(list((tmp_path / "clean" / "results").rglob("*.journal.json"))) == 1
    (row,) = taskdata.batch("convert", source, tmp_path / "dry", to="isoxml", version=3, dry_run=True).sources
    assert row.result is None
    assert json.loads((tmp_path / "dry" / str(row.document)).read_text())["losses"]


def test_what_stands_in_the_folder_of_results_is_not_taken_over(archive: Path, here: list[str], tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "letter.txt").write_text("mine")
    with pytest.raises(taskdata.TargetError, match="holds other files than results of a batch"):
        taskdata.batch("check", archive / "2020", out, select=SELECT)
    assert [path.name for path in out.iterdir()] == ["letter.txt"]
    taskdata.batch("inspect", archive / "2020" / "stick 0", tmp_path / "other")
    with pytest.raises(taskdata.TargetError, match="another command"):
        taskdata.batch("check", archive / "2020", tmp_path / "other", select=SELECT)


def test_results_never_go_into_a_source(archive: Path, tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*"))
    for source, out in ((archive, archive / "out"), (archive / "2020", archive), (archive, archive)):
        with pytest.raises(taskdata.TargetError, match="lies on the source"):
            taskdata.batch("check", [tmp_path / "elsewhere", source], out)
    for out in ("memory://sticks", "memory://sticks/2020/out"):
        with pytest.raises(taskdata.TargetError, match="lies on the source"):
            taskdata.batch("check", "memory://sticks", out, scheduler="tcp://127.0.0.1:1")
    assert sorted(tmp_path.rglob("*")) == before


def test_links_that_are_not_followed_are_told(archive: Path, here: list[str], tmp_path: Path) -> None:
    (archive / "2020" / "elsewhere").symlink_to(tmp_path / "other disk", target_is_directory=True)
    (archive / "again").symlink_to("2020", target_is_directory=True)
    (archive / "circle").symlink_to("circle")
    result = taskdata.batch("check", archive, tmp_path / "out", select=SELECT)
    (told,) = result.warnings
    assert told.startswith(f"Links are not followed: {archive / '2020' / 'elsewhere'}. Name what they lead to")
    assert json.loads((tmp_path / "out" / "summary.json").read_text())["warnings"] == [told]
    (archive / "2020" / "elsewhere").unlink()
    assert taskdata.batch("check", archive, tmp_path / "out", select=SELECT).warnings == ()


def test_what_a_killed_worker_left_is_removed(archive: Path, here: list[str], tmp_path: Path) -> None:
    source = archive / "2020" / "stick 0"
    (row,) = taskdata.batch("convert", source, tmp_path / "out", to="isoxml").sources
    result = tmp_path / "out" / str(row.result)
    for room in (result.parent / f".{result.name}.gpkg.part", result / ".TASKDATA.part"):
        (room / "new").mkdir(parents=True)
        (room / replace(this_process(), host="another").name).touch()
    shutil.rmtree(tmp_path / "out" / "finished")
    (row,) = taskdata.batch("convert", source, tmp_path / "out", to="isoxml").sources
    assert row.error is None
    assert list((tmp_path / "out").rglob("*.part")) == []


@pytest.mark.parametrize(
    ("command", "options", "words"),
    [
        ("merge", {}, "not a command for many sources"),
        ("check", {"select": "nono"}, "no rule or family"),
        ("check", {"output": "x"}, "no option 'output'"),
        ("check", {"fail_on": "disaster"}, "disaster"),
        ("convert", {}, "needs a format"),
        ("convert", {"to": "dxf"}, "needs a format"),
        ("check", {"workers": 0}, "one worker at least"),
        ("check", {"workers": 2, "scheduler": "tcp://127.0.0.1:1"}, "workers of its own"),
    ],
)
def test_wrong_use_is_told_before_anything_is_done(
    command: str, options: dict[str, object], words: str, archive: Path, tmp_path: Path
) -> None:
    with pytest.raises(taskdata.UsageError, match=words):
        taskdata.batch(command, archive, tmp_path / "out", **options)  # type: ignore[arg-type]
    assert not (tmp_path / "out").exists()


def test_cells_are_no_formulas_and_boxes_lie_where_they_should(tmp_path: Path) -> None:
    rows = (
        BatchedSource("=cmd|' /C calc'!A0", None, 3, None, None, 0.5, "+ not read"),
        BatchedSource("-x\ud800", None, 0, "r", "d", 0.5, bounds=(-3.5, 54.0, -3.0, 54.5), counts={"error": 1}),
        BatchedSource("@x", None, 0, "r", "d", 0.5, bounds=(179.0, -18.0, -179.0, -17.0), counts={"note": 2}),
        BatchedSource("x\x1b[2J\u202ey", None, 0, "r", "d", 0.5, bounds=(1.0, 2.0, 1.0, 2.0)),
    )
    result = Batch("check", "out", rows)
    cells = list(csv.DictReader(io.StringIO(csv_of(result).decode())))
    assert [row["source"] for row in cells] == ["'=cmd|' /C calc'!A0", r"'-x\ud800", "'@x", r"x\x1b[2J\u202ey"]
    assert cells[0]["error"] == "'+ not read"
    assert cells[1]["west"] == "-3.5"
    (tmp_path / "s.parquet").write_bytes(parquet_of(result))
    assert pq.read_table(tmp_path / "s.parquet")["count_error"].to_pylist() == [None, 1, None, None]
    frame = geopandas.read_parquet(tmp_path / "s.parquet")
    assert frame.geometry[0] is None
    assert [shape.geom_type for shape in frame.geometry[1:]] == ["Polygon", "MultiPolygon", "Point"]
    assert frame.geometry[2].contains(shapely.Point(179.5, -17.5))
    assert not frame.geometry[2].contains(shapely.Point(0.0, -17.5))


def test_what_a_lost_worker_finished_is_of_this_call(archive: Path, tmp_path: Path) -> None:
    (unit,) = units_of(call_of("check", {}, str(tmp_path / "out"), program()), [archive / "2020" / "stick 0"])
    first, again = run(unit), run(unit)
    assert again == first
    assert not again.kept
    assert run(replace(unit, call=replace(unit.call, run="another"))).kept
