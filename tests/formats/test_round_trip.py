"""Each format gives back what was written: the same records, coordinates to the last bit, every carried byte."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.formats.detect import detect
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.layers.of_dataset import project
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind, Point, PointKind
from tests.formats.exchange import FORMATS, put, there_and_back
from tests.formats.valley import LAT, LON, carried, dataset


@pytest.mark.parametrize("form", FORMATS)
def test_nothing_is_lost(form: str, tmp_path: Path) -> None:
    base = dataset()
    path, losses = put(base, form, tmp_path, carried())
    assert losses == []
    assert detect(path) == form
    source = there_and_back(base, form, tmp_path / "again", carried())
    assert source.carried == carried()
    assert not source.plain
    assert source.findings == []
    assert source.moved == frozenset()
    assert {(datum.source, datum.operation) for datum in source.datum} == {("WGS 84", "identity")}
    merged, losses = merge(base, source)
    assert losses == []
    assert merged is base


@pytest.mark.parametrize("form", FORMATS)
def test_values_come_back_exactly(form: str, tmp_path: Path) -> None:
    base = dataset()
    source = there_and_back(base, form, tmp_path, carried())
    for layer in project(base):
        table = source.tables[layer.name].table
        for name in layer.attributes.column_names:
            wanted = layer.table[name].to_pylist()
            given = table[name].cast(layer.table[name].type).to_pylist()
            assert given == wanted, (layer.name, name)


@pytest.mark.parametrize("form", FORMATS)
def test_coordinates_come_back_to_the_last_bit(form: str, tmp_path: Path) -> None:
    base = dataset()
    source = there_and_back(base, form, tmp_path, carried())
    for layer in project(base):
        wanted = shapely.from_wkb(layer.table["geometry"].to_pylist())
        given = shapely.from_wkb(source.tables[layer.name].table["geometry"].to_pylist())
        assert np.array_equal(shapely.is_missing(wanted), shapely.is_missing(given))
        first, second = (np.unique(shapely.get_coordinates(item).view(np.int64), axis=0) for item in (wanted, given))
        assert np.array_equal(first, second), layer.name


@pytest.mark.parametrize("form", FORMATS)
def test_an_empty_set_is_written_and_read(form: str, tmp_path: Path) -> None:
    base = Dataset("TASKDATA", "isoxml")
    source = there_and_back(base, form, tmp_path, carried())
    assert source.tables == {}
    assert source.carried == carried()
    assert merge(base, source) == (base, [])


@pytest.mark.parametrize("form", FORMATS)
def test_overlapping_outlines_stay_apart(form: str, tmp_path: Path) -> None:
    """Two boundaries one inside the other, each an outline: no program may turn the inner one into a hole."""
    square = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]])
    areas = tuple(
        Area(AreaKind.BOUNDARY, (ring,), key=key) for key, ring in enumerate((square, square / 4 + 1, square), 1)
    )
    base = Dataset("TASKDATA", "isoxml", fields=(Field("PFD1", "doppelt", boundaries=areas, key=0),))
    assert merge(base, there_and_back(base, form, tmp_path, carried()))[0] is base


texts = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=300)
heights = st.none() | st.floats(allow_nan=False, allow_infinity=False)
points = st.lists(st.tuples(texts, st.floats(-180, 180), st.floats(-90, 90), heights), min_size=1, max_size=20)


@pytest.mark.parametrize("form", FORMATS)
@settings(max_examples=8)
@given(rows=points)
def test_any_text_and_number(
    form: str, rows: list[tuple[str, float, float, float | None]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    found = tuple(
        Point(PointKind.OTHER, lon, lat, name=name, up_m=up, key=key)
        for key, (name, lon, lat, up) in enumerate(rows, 1)
    )
    base = Dataset("TASKDATA", "isoxml", fields=(Field("PFD1", rows[0][0], points=found, key=0),))
    source = there_and_back(base, form, tmp_path_factory.mktemp("any"), carried())
    assert merge(base, source) == (base, [])
    back = source.tables["points"].table.to_pylist()
    assert [(row["name"], row["up_m"]) for row in back] == [(name, up) for name, _, _, up in rows]


def test_layers_are_those_of_the_data() -> None:
    layers = {layer.name: layer for layer in project(dataset())}
    assert list(layers) == [
        "fields",
        "areas",
        "lines",
        "guidance_lines",
        "points",
        "treatment_zones",
        "grid_cells",
        "log_records",
    ]
    logs = layers["log_records"].table
    assert logs["ddi_0043_det1"].to_pylist() == [6000, None, None]
    assert logs["ddi_008d_det2"].to_pylist() == [-1, None, None]
    assert logs["ddi_0043_det1_2"].to_pylist() == [None, 7, None]
    assert logs["hdop"].to_pylist() == [1.2, None, 0.9]
    assert logs["satellites"].to_pylist() == [9, None, 0]
    assert logs["status"].to_pylist() == ["rtk_fixed_integer", None, "no_fix"]
    assert logs["time"].type == pa.timestamp("ms")


def test_grid_cells_lie_from_the_south_west() -> None:
    """ISO 11783-10, 8.6.2: the first cell is the south-western one, rows run north."""
    cells = next(layer for layer in project(dataset()) if layer.name == "grid_cells").rows()
    at = {(row["row"], row["column"]): row for row in cells if row["key"] == 95}
    assert at[1, 2]["code"] == 6
    west, south, east, north = shapely.bounds(shapely.from_wkb(at[1, 2]["geometry"]))
    assert (west, south) == (LON + 0.0002 * 2, LAT + 0.0001)
    assert (east, north) == (LON + 0.0002 * 3, LAT + 0.0001 * 2)


def test_cells_stay_within_the_antimeridian() -> None:
    cells = next(layer for layer in project(dataset()) if layer.name == "grid_cells").rows()
    shapes = shapely.from_wkb([row["geometry"] for row in cells if row["key"] == 98])
    assert shapely.bounds(shapes)[:, 2].tolist() == [180.0, pytest.approx(-179.999)]
