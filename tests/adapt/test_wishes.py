"""What a user asks of a conversion besides the version: templates as planned tasks, and the zone of time stamps."""

from __future__ import annotations

from pathlib import Path

import pytest

import taskdata
from taskdata.adapt.versions import to_version
from taskdata.errors import UsageError
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.writing.write import write_folder
from tests import samples
from tests.adapt.sets import made, whats, written

TASKS = '<TSK A="TSK1" B="Muster" G="5"/><TSK A="TSK2" G="6"/><TSK A="TSK3" G="1"/>'
STAMPED = '<TSK A="TSK1" G="4"><TIM A="2026-07-01T06:00:00" B="2026-07-01T07:00:00Z" D="4"/></TSK>'


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A set of version 4 with a template, a cancelled task and a time."""
    write_folder(made(4, TASKS + STAMPED.replace("TSK1", "TSK4")), tmp_path / "TASKDATA")
    return tmp_path / "TASKDATA"


def states(path: Path) -> dict[str | None, str | None]:
    return {task.id: task.get("TaskStatus") for task in read_document(path).by_tag["TSK"]}


def test_a_template_becomes_planned_on_request_and_a_cancelled_task_never() -> None:
    """R-243: never is a cancelled task written as planned or completed."""
    result, ledger = to_version(made(4, TASKS), 3, plan_templates=True)
    assert {task.id: task.get("TaskStatus") for task in written(result).by_tag["TSK"]} == {"TSK1": "1", "TSK3": "1"}
    assert "TSK1: template task 'Muster' becomes a planned task" in whats(ledger)
    assert "TSK2: task" in whats(ledger)


def test_convert_and_write_take_the_same_wishes(stick: Path, tmp_path: Path) -> None:
    wishes = {"to": "isoxml", "version": 3, "time_zone": "Europe/Berlin", "plan_templates": True}
    one = taskdata.convert(stick, tmp_path / "one", **wishes)
    other = taskdata.write(taskdata.read(stick), tmp_path / "other", **wishes)
    assert one.losses == other.losses
    files = [(tmp_path / name / "TASKDATA" / "TASKDATA.XML").read_bytes() for name in ("one", "other")]
    assert files[0] == files[1]
    assert states(tmp_path / "one") == {"TSK1": "1", "TSK3": "1", "TSK4": "4"}
    assert b'B="2026-07-01T09:00:00"' in files[0]


def test_write_satisfies_a_receiver_and_a_dry_run_writes_nothing(stick: Path, tmp_path: Path) -> None:
    profile = tmp_path / "cab.toml"
    profile.write_text("[receiver]\nversions = [3]\n", encoding="utf-8")
    wishes = {"to": "isoxml", "receiver": profile, "plan_templates": True}
    foreseen = taskdata.write(taskdata.read(stick), tmp_path / "cab", dry_run=True, **wishes)
    assert not (tmp_path / "cab").exists()
    assert taskdata.write(taskdata.read(stick), tmp_path / "cab", **wishes) == foreseen
    assert states(tmp_path / "cab") == {"TSK1": "1", "TSK3": "1", "TSK4": "4"}


def test_a_zone_is_written_in_a_set_that_keeps_its_version(stick: Path, tmp_path: Path) -> None:
    """R-057, R-264: a writer that knows the zone adds it; stamps that state one stay."""
    result = taskdata.convert(stick, tmp_path / "out", to="isoxml", time_zone="Europe/Berlin", verify=True)
    assert [loss.what for loss in result.losses if loss.element == "TSK4"] == ["time stamps gain a time zone"]
    (time,) = read_document(tmp_path / "out").by_tag["TIM"]
    assert time.attributes == {"A": "2026-07-01T06:00:00+02:00", "B": "2026-07-01T07:00:00Z", "D": "4"}
    again = taskdata.convert(tmp_path / "out", tmp_path / "again", to="isoxml", time_zone="Europe/Berlin")
    assert again.losses == ()


def test_a_zone_makes_local_time_of_what_version_3_may_not_state(tmp_path: Path) -> None:
    write_folder(made(3, STAMPED), tmp_path / "TASKDATA")
    taskdata.convert(tmp_path / "TASKDATA", tmp_path / "out", to="isoxml", time_zone="+02:00")
    (time,) = read_document(tmp_path / "out").by_tag["TIM"]
    assert time.attributes == {"A": "2026-07-01T06:00:00", "B": "2026-07-01T09:00:00", "D": "4"}


@pytest.mark.parametrize(
    "wish",
    [{"version": 3}, {"time_zone": "Z"}, {"plan_templates": True}],
    ids=lambda wish: next(iter(wish)),
)
def test_wishes_that_only_task_data_fulfil_are_refused_elsewhere(wish: dict[str, object], tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=f"Leave `{next(iter(wish))}` out"):
        taskdata.convert(samples.OFFICE, tmp_path / "farm.gpkg", **wish)
    assert not (tmp_path / "farm.gpkg").exists()
