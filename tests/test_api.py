"""The public functions, as a program uses them."""

from __future__ import annotations

import re
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


BAD = {
    "Choose record or middle": lambda data: taskdata.coverage(data, switching="never"),  # type: ignore[arg-type]
    "is not a place where rows can end": lambda data: taskdata.passes(data, ends="nowhere"),
    "the set has no such field": lambda data: taskdata.shift(data, "moved", east_m=1.0, field="PFD99"),
    "no rule or family": lambda data: taskdata.check(data, ignore="nonsense"),
    "no repair has this name. See: taskdata.rules()": lambda data: taskdata.clean(OFFICE, "clean", only="nonsense"),
    "a\\x00b.gpkg: has a line break or another control character in its path": lambda data: taskdata.write(
        data, "a\0b.gpkg"
    ),
    "Give `to` with one of": lambda data: taskdata.write(data, "farm.unknown"),
    "Leave `version` out": lambda data: taskdata.write(data, "farm.gpkg", version=3),
    "taskdata.make_receiver() writes": lambda data: taskdata.check(data, receiver="nowhere.toml"),
}


@pytest.mark.parametrize("told", BAD)
def test_what_is_wrong_in_a_call_is_told_in_its_own_terms(told: str) -> None:
    with pytest.raises(taskdata.UsageError, match=re.escape(told)) as caught:
        BAD[told](taskdata.read(OFFICE))
    assert "--" not in str(caught.value)


def test_one_name_may_stand_for_several() -> None:
    found = taskdata.check(OFFICE, select="name").findings
    assert {finding.rule.id.partition(".")[0] for finding in found} == {"name"}
    merged = taskdata.merge(OFFICE, "nowhere", dry_run=True)
    assert merged.sources == (str(OFFICE),)
