"""A value that somebody typed and that cannot be stored is refused with its row, its column and the range."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from taskdata import api
from taskdata.errors import UsageError
from taskdata.exchange.convert import convert, write
from taskdata.exchange.load import load
from taskdata.model.shapes import Point, PointKind
from tests import samples
from tests.exchange.layers import layers_of, type_into

TYPED = [
    ("fields", {"declared_area_m2": -5}, "declared_area_m2 of row 2 of fields is -5", "from 0 to 4294967294"),
    ("fields", {"declared_area_m2": "groß"}, "declared_area_m2 of row 2 of fields is 'groß'", "a whole number"),
    ("lines", {"width_m": -24.0}, "width_m of row 2 of lines is -24.0", "from 0 to 4294967.294"),
    ("areas", {"colour": 300}, "colour of row 2 of areas is 300", "from 0 to 254"),
    ("areas", {"kind": "Vorgewende"}, "kind of row 2 of areas is 'Vorgewende'", "headland"),
    ("guidance_lines", {"heading_deg": 400.0}, "heading_deg of row 2 of guidance_lines is 400.0", "from 0 to 360"),
    ("treatment_zones", {"code": 255}, "code of row 2 of treatment_zones is 255", "from 0 to 254"),
    ("treatment_zones", {"rate": 214749.0}, "rate of row 2 of treatment_zones is 214749.0", "0 to 214748.3647 L/ha"),
    ("treatment_zones", {"rate": -1}, "rate of row 2 of treatment_zones is -1", "0 to 214748.3647 L/ha"),
    ("treatment_zones", {"rate": None}, "rate of row 2 of treatment_zones is empty", "0 to 214748.3647 L/ha"),
    ("treatment_zones", {"rate": "viel"}, "rate of row 2 of treatment_zones is 'viel'", "a number"),
    ("treatment_zones", {"unit": "kg/ha"}, "unit of row 2 of treatment_zones is 'kg/ha'", "Rate: L/ha, gal/ac"),
    ("treatment_zones", {"ddi": 6}, "unit of row 2 of treatment_zones is 'L/ha'", "Rate: kg/ha, lb/ac"),
    ("treatment_zones", {"ddi": 0xE123}, "rate of row 2 of treatment_zones is 150.0", "raw_value counts"),
    ("grid_cells", {"rate_1": 7.0}, "rate_1 of row 2 of grid_cells is 7.0", "change its code, or the rate of the zone"),
    ("fields", {"crop": "Kichererbse"}, "crop of row 2 of fields is 'Kichererbse'", "no crop type of that name"),
]


@pytest.mark.parametrize(("layer", "values", "where", "takes"), TYPED, ids=[str(item[1]) for item in TYPED])
def test_a_typed_value_is_refused(tmp_path: Path, layer: str, values: dict[str, Any], where: str, takes: str) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    type_into(layers, layer, 1, **values)
    for dry_run in (True, False):
        with pytest.raises(UsageError, match="a value cannot be stored") as caught:
            convert(layers, tmp_path / "s", to="isoxml", dry_run=dry_run)
        assert where in str(caught.value)
        assert takes in str(caught.value)
    assert not (tmp_path / "s").exists()
    (told,) = [item for item in api.check(layers).findings if item.rule.id == "import.value-refused"]
    assert told.place.record == 1
    with pytest.raises(UsageError, match="cannot be stored"):
        api.write(api.read(layers), tmp_path / "t", to="gpkg")


def test_a_name_in_a_column_of_identifiers_means_the_thing_of_that_name(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    base = load(samples.OFFICE).dataset
    customer, farm = base.customers[-1], base.farms[-1]
    type_into(layers, "fields", 0, customer=customer.name, farm=farm.name)
    convert(layers, tmp_path / "s", to="isoxml")
    first = load(tmp_path / "s").dataset.fields[0]
    assert (first.customer, first.farm) == (customer.id, farm.id)


def test_an_identifier_of_nothing_is_left_out_and_told(tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    type_into(layers, "fields", 0, customer="CTR77")
    result = convert(layers, tmp_path / "s", to="isoxml")
    assert ("customer CTR77 of row 1 of fields", "the set has no customer of that identifier") in {
        (loss.what, loss.why) for loss in result.losses
    }
    assert load(tmp_path / "s").dataset.fields[0].customer is None
    assert result.new_errors == ()


def test_records_of_python_are_refused_by_their_name(tmp_path: Path) -> None:
    dataset = load(samples.OFFICE).dataset
    first, *rest = dataset.fields
    far = Point(PointKind.OBSTACLE, lon=7.0, lat=91.0, name="Mast")
    changed = dataset.with_changes(fields=(replace(first, points=(*first.points, far)), *rest))
    with pytest.raises(UsageError, match=r"lat of point Mast is 91\.0; it should be a number from -90 to 90"):
        write(changed, tmp_path / "s", to="isoxml")


def test_the_command_line_says_so_in_one_line(run_line: Callable[..., tuple[int, str]], tmp_path: Path) -> None:
    layers = layers_of(samples.OFFICE, tmp_path)
    type_into(layers, "lines", 0, width_m=-1.0)
    code, told = run_line("convert", layers, tmp_path / "s", "--to", "isoxml")
    assert code == 2
    assert told.count("\n") == 1
    assert "width_m of row 1 of lines is -1.0; it should be a number from 0 to 4294967.294" in told


@pytest.fixture
def run_line(capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str]]:
    from taskdata.cli import main

    def call(*words: object) -> tuple[int, str]:
        with pytest.raises(SystemExit) as ended:
            main([str(word) for word in words])
        return int(ended.value.code or 0), capsys.readouterr().err

    return call
