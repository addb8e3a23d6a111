"""Whatever looks at a data set looks at its records as they are now, not at the set that they were read from."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import taskdata
from taskdata.model.dataset import Dataset
from tests import samples


def changed(data: taskdata.Dataset) -> taskdata.Dataset:
    """Return a set whose field PFD3 has another name, and states an area that it does not have."""
    new = replace(data.field("PFD3"), name="Neuer Name", declared_area_m2=1)
    return data.with_changes(fields=tuple(new if field.id == "PFD3" else field for field in data.fields))


def wrong_areas(data: taskdata.Dataset) -> list[str | None]:
    """Return the fields that a check finds to have another area than they state."""
    return [finding.place.element for finding in taskdata.check(data, select=["field.wrong-area"]).findings]


def test_a_set_knows_whether_its_records_were_changed() -> None:
    data = taskdata.read(samples.OFFICE)
    assert (data.changed, changed(data).changed, data.with_changes(source="elsewhere").changed) == (False, True, False)
    assert replace(data, fields=data.fields[:1]).changed
    assert not Dataset("here", "isoxml").with_changes(fields=()).changed
    assert isinstance(changed(data), taskdata.Dataset)


def test_a_check_is_of_the_records_as_they_are() -> None:
    data = taskdata.read(samples.OFFICE)
    assert (wrong_areas(data), wrong_areas(changed(data))) == ([], ["PFD3"])


def test_a_comparison_is_of_the_records_as_they_are() -> None:
    data = taskdata.read(samples.OFFICE)
    found = taskdata.compare(data, changed(data)).differences
    assert [(item.before, item.after) for item in found] == [("Schmale Äcker", "Neuer Name"), ("45388", "1")]


def test_frames_are_checked_as_they_are() -> None:
    data = taskdata.read(samples.OFFICE)
    frame = data.frame("fields")
    frame.loc[frame["id"] == "PFD3", "declared_area_m2"] = 1
    assert wrong_areas(taskdata.Dataset.from_frames({"fields": frame}, base=data)) == ["PFD3"]


def test_what_was_changed_is_moved_with_the_rest(tmp_path: Path) -> None:
    data = changed(taskdata.read(samples.OFFICE))
    taskdata.shift(data, tmp_path / "moved", everything=True, with_logs=True, east_m=1.0)
    assert taskdata.read(tmp_path / "moved").field("PFD3").name == "Neuer Name"


def test_findings_of_layers_stay_with_records_that_are_changed(tmp_path: Path) -> None:
    taskdata.write(taskdata.read(samples.OFFICE), tmp_path / "layers", to="geojson")
    (tmp_path / "layers" / "points.geojson").write_text("{", encoding="utf-8")
    data = taskdata.read(tmp_path / "layers")
    before, after = ({finding.rule.id for finding in taskdata.check(each).findings} for each in (data, changed(data)))
    assert "import.unreadable-layer" in before & after
