"""What a row names: things of the set by name, new owners by theirs, headings beside the line that was drawn."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from taskdata import api
from taskdata.errors import UsageError
from taskdata.exchange.convert import convert, write
from taskdata.exchange.load import load
from taskdata.model.machines import Product
from taskdata.model.tasks import WorkTime
from tests import samples
from tests.exchange.layers import edit, layers_of, row_of, type_into


def lines_of(result: Any) -> set[str]:
    return {f"{loss.what}: {loss.why}" for loss in result.losses}


def test_an_owner_that_the_set_has_not_is_made_of_its_name(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    for row in (0, 1):
        type_into(layers, "fields", row, customer_name="Gut Wiesenrade", farm_name="Wiesenrade Nord")
    result = convert(layers, tmp_path / "s", to="isoxml")
    back = load(tmp_path / "s").dataset
    assert [item.name for item in back.customers].count("Gut Wiesenrade") == 1
    (customer,) = [item.id for item in back.customers if item.name == "Gut Wiesenrade"]
    (farm,) = [item.id for item in back.farms if item.name == "Wiesenrade Nord"]
    assert [(item.customer, item.farm) for item in back.fields[:2]] == [(customer, farm)] * 2
    assert result.new_errors == ()
    assert len(back.customers) == len(load(samples.OFFICE).dataset.customers) + 1


def test_layers_that_lost_their_set_keep_owners_by_name_and_tell_the_rest(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    for name in ("carried_elements", "carried_files"):
        (layers / f"{name}.geojson").unlink()
    result = convert(layers, tmp_path / "s", to="isoxml")
    before, back = load(samples.OFFICE).dataset, load(tmp_path / "s").dataset
    names = {item.id: item.name for item in before.customers}
    again = {item.id: item.name for item in back.customers}
    assert [again.get(item.customer or "") for item in back.fields] == [
        names.get(item.customer or "") for item in before.fields
    ]
    crops = [item.crop for item in before.fields if item.crop]
    told = {loss.what for loss in result.losses}
    assert crops
    assert all(any(f"crop {crop} of row" in what for what in told) for crop in crops)
    dangling = [item for item in api.check(tmp_path / "s").findings if item.rule.id == "reference.dangling"]
    assert dangling == []


def test_a_line_goes_to_the_field_that_is_named(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    field = load(samples.OFFICE).dataset.fields[2]
    type_into(layers, "guidance_lines", 0, field=field.name, key=None, id=None)
    convert(layers, tmp_path / "s", to="isoxml")
    back = load(tmp_path / "s").dataset
    assert len(back.fields) == len(load(samples.OFFICE).dataset.fields)
    assert len(next(item for item in back.fields if item.id == field.id).guidance) == len(field.guidance) + 1
    type_into(layers, "guidance_lines", 0, field="Nirgendwo")
    with pytest.raises(UsageError, match="field of row 1 of guidance_lines is 'Nirgendwo'"):
        convert(layers, tmp_path / "t", to="isoxml")


def test_a_heading_that_contradicts_the_drawn_line_is_told(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    straight = row_of(layers, "guidance_lines", kind="ab")
    type_into(layers, "guidance_lines", straight, heading_deg=10.0)
    direction = row_of(layers, "guidance_lines", kind="a_plus")

    def copied(features: list[dict[str, Any]]) -> None:
        old = features[direction]
        features.append({**old, "properties": {**old["properties"], "key": None, "id": None, "heading_deg": 200.0}})

    edit(layers, "guidance_lines", copied)
    told = lines_of(convert(layers, tmp_path / "s", to="isoxml"))
    assert any(
        f"the heading 10° of row {straight + 1} of guidance_lines contradicts its points" in line for line in told
    )
    assert any("its stated heading of 200° takes precedence" in line for line in told)
    unchanged = layers_of(samples.OFFICE, tmp_path / "again")
    type_into(unchanged, "guidance_lines", direction, name="umbenannt")
    assert not any("heading" in line for line in lines_of(convert(unchanged, tmp_path / "u", to="isoxml")))


def test_what_the_model_knows_and_the_writer_does_not_store_is_told(tmp_path: Path) -> None:
    dataset = load(samples.OFFICE).dataset
    first, *rest = dataset.tasks
    work = WorkTime(1, "2026-04-01T07:00:00", "2026-04-01T09:00:00")
    changed = dataset.with_changes(
        tasks=(replace(first, times=(*first.times, work)), *rest),
        products=(*dataset.products, Product("PDT99", "Kali", quantity_ddi=6)),
    )
    told = lines_of(write(changed, tmp_path / "s", to="isoxml"))
    assert any(line.startswith(f"times of task {first.id}: ") for line in told)
    assert any(line.startswith("quantity_ddi of product PDT99: ") for line in told)
