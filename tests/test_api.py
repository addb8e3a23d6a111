"""The public functions, as a program uses them."""

from __future__ import annotations

from pathlib import Path

import pytest

import taskdata

OFFICE = Path(__file__).parents[1] / "samples" / "office"


def test_read_check_write_and_read_again(tmp_path: Path) -> None:
    data = taskdata.read(OFFICE)
    assert isinstance(data, taskdata.Dataset)
    assert data.source == str(OFFICE)
    report = taskdata.check(data)
    assert (report.source, report.version, report.summary) == (
        str(OFFICE),
        "4.3",
        {"error": 0, "warning": 0, "note": 5},
    )
    written = taskdata.write(data, tmp_path / "farm.gpkg", verify=True)
    assert written.written["fields"] == len(data.fields)
    back = taskdata.read(tmp_path / "farm.gpkg")
    assert [field.name for field in back.fields] == [field.name for field in data.fields]
    assert back.format == "gpkg"


def test_a_dry_run_writes_nothing(tmp_path: Path) -> None:
    result = taskdata.convert(OFFICE, tmp_path / "layers", to="shapefile", dry_run=True)
    assert all(isinstance(loss, taskdata.Loss) for loss in result.losses)
    assert list(tmp_path.iterdir()) == []


def test_failures_are_of_one_tree(tmp_path: Path) -> None:
    with pytest.raises(taskdata.SourceError, match="does not exist"):
        taskdata.read(tmp_path / "nowhere")
    with pytest.raises(taskdata.UsageError, match="no rule or family"):
        taskdata.check(OFFICE, ignore=["nonsense"])
    (tmp_path / "there.gpkg").write_bytes(b"mine")
    with pytest.raises(taskdata.TargetError, match="exists already"):
        taskdata.write(taskdata.read(OFFICE), tmp_path / "there.gpkg")
    assert issubclass(taskdata.SourceError, taskdata.TaskdataError)


def test_rules_by_name_and_family() -> None:
    (rule,) = taskdata.rules("reference.dangling")
    assert rule.severity is taskdata.Severity.ERROR
    assert {item.id for item in taskdata.rules("reference")} <= {item.id for item in taskdata.rules()}
    with pytest.raises(taskdata.UsageError):
        taskdata.rules("nonsense")
