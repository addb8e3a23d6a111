"""Crops and their varieties as records: changed and made in Python, and told where nothing holds them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as Xml

import taskdata
from taskdata.model.dataset import Dataset
from taskdata.model.machines import Crop, CropVariety
from tests import samples


def crops(folder: Path) -> list[tuple[str | None, str | None, list[tuple[str | None, str | None]]]]:
    """Identifier, name and varieties of the crops in the main file."""
    root = Xml.parse(folder / "TASKDATA" / "TASKDATA.XML").getroot()  # noqa: S314
    return [
        (item.get("A"), item.get("B"), [(variety.get("A"), variety.get("B")) for variety in item.findall("CVT")])
        for item in root.findall("CTP")
    ]


def test_a_crop_that_did_not_change_is_written_as_it_was(tmp_path: Path) -> None:
    result = taskdata.write(taskdata.read(samples.OFFICE), tmp_path / "out", to="isoxml")
    assert result.losses == ()
    assert crops(tmp_path / "out") == crops(samples.OFFICE.parent)


def test_names_change_and_varieties_come_and_go(tmp_path: Path) -> None:
    data = taskdata.read(samples.OFFICE)
    wheat, beans = data.crops
    kept = replace(wheat.varieties[0], name="Lindhollen Silber")
    new = CropVariety("CVT9", "Söderhöfter Früh")
    changed = data.with_changes(crops=(replace(wheat, name="Weizen", varieties=(kept, new)), beans))
    result = taskdata.write(changed, tmp_path / "out", to="isoxml", verify=True)
    assert [(loss.element, loss.what) for loss in result.losses] == [("PFD4", "reference CropVarietyIdRef CVT2")]
    assert crops(tmp_path / "out") == [
        ("CTP1", "Weizen", [("CVT1", "Lindhollen Silber"), ("CVT9", "Söderhöfter Früh")]),
        ("CTP2", "Ackerbohne", [("CVT3", "Kuhlenbohne")]),
    ]


def test_crops_are_made_from_records_alone(tmp_path: Path) -> None:
    rye = Crop("CTP1", "Roggen", varieties=(CropVariety("CVT1", "Ahrenbrooker"),))
    taskdata.write(Dataset("made", "isoxml", crops=(rye,)), tmp_path / "out", to="isoxml", verify=True)
    assert crops(tmp_path / "out") == [("CTP1", "Roggen", [("CVT1", "Ahrenbrooker")])]
    (again,) = taskdata.read(tmp_path / "out").crops
    assert [item.name for item in again.varieties] == ["Ahrenbrooker"]


def test_layers_without_a_set_behind_them_lose_crops_and_say_so(tmp_path: Path) -> None:
    made = Dataset("made", "isoxml", crops=(Crop("CTP1", "Roggen"),))
    result = taskdata.write(made, tmp_path / "layers", to="geojson", dry_run=True)
    assert [loss.what for loss in result.losses] == ["crop CTP1"]
