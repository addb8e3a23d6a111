"""Changes made to records or layers reach the set, and nothing else in it moves."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from shapely.geometry import box, mapping, shape

from taskdata.exchange.convert import convert, write
from taskdata.exchange.load import load
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.tree.differences import differences
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from tests import samples
from tests.exchange.layers import layers_of


@pytest.fixture(scope="module")
def office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The layers of the office's set; do not change them."""
    return layers_of(samples.OFFICE, tmp_path_factory.mktemp("office"))


def changed_first(dataset: Dataset, **changes: object) -> Dataset:
    first, *rest = dataset.fields
    return dataset.with_changes(fields=(replace(first, **changes), *rest))  # type: ignore[arg-type]


def told(source: Path, target: Path) -> list[str]:
    return list(differences(read_document(source), read_document(target)))


def test_a_new_name_changes_one_attribute(tmp_path: Path) -> None:
    write(changed_first(load(samples.OFFICE).dataset, name="Neue Breite"), tmp_path / "s", to="isoxml")
    (line,) = told(samples.OFFICE, tmp_path / "s")
    assert "PFD1" in line
    assert "Neue Breite" in line


def test_a_moved_corner_keeps_the_texts_of_the_others_and_renews_the_area(tmp_path: Path) -> None:
    dataset = load(samples.OLDER).dataset
    field = next(item for item in dataset.fields if item.boundaries)
    boundary = field.boundaries[0]
    ring = boundary.exteriors[0].copy()
    ring[1] += (1e-4, 1e-4)
    moved = replace(field, boundaries=(replace(boundary, exteriors=(ring, *boundary.exteriors[1:])),))
    fields = tuple(moved if item is field else item for item in dataset.fields)
    result = write(dataset.with_changes(fields=fields), tmp_path / "s", to="isoxml")
    assert any("area of" in loss.what for loss in result.losses)
    before = (samples.OLDER / "TASKDATA.XML").read_text(encoding="utf-8")
    after = (tmp_path / "s" / "TASKDATA" / "TASKDATA.XML").read_text(encoding="utf-8")
    east, north = before.split(' D="')[1].split('"')[0], before.split(' C="')[1].split('"')[0]
    assert east in after
    assert north in after
    back = next(item for item in load(tmp_path / "s").dataset.fields if item.id == field.id)
    np.testing.assert_allclose(back.boundaries[0].exteriors[0], ring, atol=1e-9)


def test_a_removed_field_takes_its_references_along_and_says_so(tmp_path: Path) -> None:
    dataset = load(samples.MACHINE).dataset
    used = {task.field for task in dataset.tasks}
    gone = next(field for field in dataset.fields if field.id in used)
    kept = tuple(field for field in dataset.fields if field is not gone)
    result = write(dataset.with_changes(fields=kept), tmp_path / "s", to="isoxml")
    assert any(gone.id in loss.what for loss in result.losses)
    back = load(tmp_path / "s").dataset
    assert gone.id not in {field.id for field in back.fields}
    assert gone.id not in {task.field for task in back.tasks}


def test_a_name_edited_in_geojson_reaches_the_set(tmp_path: Path) -> None:
    convert(samples.OFFICE, tmp_path / "layers", to="geojson")
    path = tmp_path / "layers" / "fields.geojson"
    layer = json.loads(path.read_text(encoding="utf-8"))
    edited = next(item for item in layer["features"] if item["properties"]["id"] == "PFD1")
    edited["properties"]["name"] = "Umbenannt"
    path.write_text(json.dumps(layer), encoding="utf-8")
    convert(tmp_path / "layers", tmp_path / "s", to="isoxml")
    (line,) = told(samples.OFFICE, tmp_path / "s")
    assert "Umbenannt" in line


def test_a_set_made_of_nothing_but_records(tmp_path: Path) -> None:
    plain = load(samples.DISPLAY, crs="EPSG:32632").dataset
    result = write(plain, tmp_path / "s", to="isoxml", version=4, verify=True)
    assert result.written["fields"] == len(plain.fields)
    back = load(tmp_path / "s").dataset
    assert back.version == (4, 3)
    for old, new in zip(plain.fields, back.fields, strict=True):
        assert old.name == new.name
        assert new.declared_area_m2 == pytest.approx(geodesic_area(old), abs=1.0)


def test_version_3_has_lines_in_place_of_patterns(tmp_path: Path) -> None:
    plain = load(samples.DISPLAY, crs="EPSG:32632").dataset
    result = write(plain, tmp_path / "s", to="isoxml", version=3)
    assert any("becomes a line" in loss.what for loss in result.losses)
    back = load(tmp_path / "s").dataset
    assert back.version == (3, 3)
    assert len(back.guidance) == len(plain.guidance)
    assert all(not field.groups for field in back.fields)


def geodesic_area(field: Field) -> float:
    """Area by the independent implementation of Karney's geodesics (geographiclib)."""
    total = 0.0
    for area in field.boundaries:
        for sign, rings in ((1.0, area.exteriors), (-1.0, area.interiors)):
            for ring in rings:
                polygon = Geodesic.WGS84.Polygon()
                for lon, lat in ring:
                    polygon.AddPoint(lat, lon)
                total += sign * abs(polygon.Compute()[2])
    return total


def test_what_reading_leaves_out_stands_in_the_ledger(tmp_path: Path) -> None:
    result = convert(samples.DISPLAY, tmp_path / "s", to="isoxml", crs="EPSG:32632", dry_run=True)
    dropped = [loss.what for loss in result.losses if loss.kind == "dropped"]
    assert any("row" in what and "BOUNDARY" in what for what in dropped), dropped
    assert any("AR_HA" in what for what in dropped)


def test_a_removed_line_takes_its_link_along_and_the_lengths_stay_true(tmp_path: Path) -> None:
    """Removed from the layer as somebody would in a GIS; the set that comes back passes the check of the standard."""
    convert(samples.MACHINE, tmp_path / "layers", to="geojson")
    path = tmp_path / "layers" / "guidance_lines.geojson"
    layer = json.loads(path.read_text(encoding="utf-8"))
    layer["features"] = [item for item in layer["features"] if item["properties"]["id"] != "GPN3"]
    path.write_text(json.dumps(layer), encoding="utf-8")
    result = convert(tmp_path / "layers", tmp_path / "s", to="isoxml", verify=True)
    assert any(loss.what.startswith("link of GPN3 to ") for loss in result.losses)
    assert any(loss.what.startswith("stated length of LINKLIST.XML") for loss in result.losses)
    document = read_document(tmp_path / "s")
    assert document.link_list is not None
    assert all(link.attributes["A"] != "GPN3" for link in document.link_list.root.walk() if link.tag == "LNK")
    size = (tmp_path / "s" / "TASKDATA" / "LINKLIST.XML").stat().st_size
    (stated,) = [
        item.get("FileLength") for item in document.top("AFE") if item.get("FilenameWithExtension") == "LINKLIST.XML"
    ]
    assert stated == str(size)


@pytest.mark.parametrize("source", [samples.OFFICE, samples.MACHINE], ids=lambda path: path.parent.name)
def test_files_come_back_byte_for_byte_through_a_geopackage(source: Path, tmp_path: Path) -> None:
    convert(source, tmp_path / "farm.gpkg")
    convert(tmp_path / "farm.gpkg", tmp_path / "s", to="isoxml")
    before = {path.name: path.read_bytes() for path in source.iterdir()}
    after = {path.name: path.read_bytes() for path in (tmp_path / "s" / "TASKDATA").iterdir()}
    assert set(after) == set(before)
    assert [name for name in before if after[name] != before[name]] == []


def test_the_area_of_a_removed_line_goes_with_it_and_is_named(tmp_path: Path) -> None:
    convert(samples.MACHINE, tmp_path / "layers", to="geojson")
    path = tmp_path / "layers" / "guidance_lines.geojson"
    layer = json.loads(path.read_text(encoding="utf-8"))
    layer["features"] = [item for item in layer["features"] if item["properties"]["id"] != "GPN3"]
    path.write_text(json.dumps(layer), encoding="utf-8")
    result = convert(tmp_path / "layers", tmp_path / "s", to="isoxml", dry_run=True)
    assert "area Gilt am Hang of Kurve am Hang" in [loss.what for loss in result.losses]


def test_half_of_a_split_field_does_not_state_the_size_of_the_whole(tmp_path: Path) -> None:
    """Both halves carry every attribute of the row, as a GIS copies them."""
    convert(samples.OFFICE, tmp_path / "layers", to="geojson")
    path = tmp_path / "layers" / "fields.geojson"
    layer = json.loads(path.read_text(encoding="utf-8"))
    whole = next(item for item in layer["features"] if item["properties"]["id"] == "PFD1")
    outline = shape(whole["geometry"])
    west, south, east, north = outline.bounds
    middle = (west + east) / 2
    halves = [
        outline.intersection(box(*sides)) for sides in ((west, south, middle, north), (middle, south, east, north))
    ]
    layer["features"].append({**whole, "geometry": mapping(halves[1])})
    whole["geometry"] = mapping(halves[0])
    path.write_text(json.dumps(layer), encoding="utf-8")
    convert(tmp_path / "layers", tmp_path / "s", to="isoxml", verify=True)
    fields = load(tmp_path / "s").dataset.fields
    parts = [field for field in fields if field.name == "Große Breite"]
    assert len(parts) == 2
    for part in parts:
        assert part.declared_area_m2 == pytest.approx(geodesic_area(part), abs=1.0)


@pytest.mark.parametrize("garbage", [1e400, 10**30, "x", [1], True, None, -1, 1.5], ids=repr)
@pytest.mark.parametrize("column", ["key", "row", "column", "code"])
def test_garbage_in_a_cell_of_a_grid_changes_no_other(
    column: str, garbage: object, office: Path, tmp_path: Path
) -> None:
    shutil.copytree(office, tmp_path / "layers")
    path = tmp_path / "layers" / "grid_cells.geojson"
    layer = json.loads(path.read_text(encoding="utf-8"))
    layer["features"][0]["properties"][column] = garbage
    path.write_text(json.dumps(layer), encoding="utf-8")
    result = convert(tmp_path / "layers", tmp_path / "s", to="isoxml", verify=True)
    assert result.losses
    for name in ("GRD00001.BIN", "GRD00002.BIN"):
        after = (tmp_path / "s" / "TASKDATA" / name).read_bytes()
        before = (samples.OFFICE / name).read_bytes()
        assert sum(one != two for one, two in zip(before, after, strict=True)) <= 1


def test_what_is_stated_of_a_shape_follows_it(tmp_path: Path) -> None:
    """The length of a fence and the area of a headland, after a vertex of each was moved in the layers."""
    convert(samples.OFFICE, tmp_path / "layers", to="geojson")
    for name, wanted in (("lines", "Weidezaun"), ("areas", "Hauptfläche")):
        path = tmp_path / "layers" / f"{name}.geojson"
        layer = json.loads(path.read_text(encoding="utf-8"))
        (row,) = [item for item in layer["features"] if item["properties"]["name"] == wanted]
        points = row["geometry"]["coordinates"]
        while isinstance(points[0][0], list):
            points = points[0]
        points[1][0] += 1e-3
        path.write_text(json.dumps(layer), encoding="utf-8")
    result = convert(tmp_path / "layers", tmp_path / "s", to="isoxml", verify=True)
    told = [loss.what for loss in result.losses]
    assert any(what.startswith("stated length of a line 280713 mm becomes ") for what in told)
    assert any(what.startswith("stated area of a polygon ") for what in told)
    document = read_document(tmp_path / "s")
    strings = [item for item in document.walk() if item.tag == "LSG"]
    (fence,) = [item for item in strings if item.get("LineStringDesignator") == "Weidezaun"]
    legs = fence.coordinates()
    length = sum(Geodesic.WGS84.Inverse(one[1], one[0], two[1], two[0])["s12"] for one, two in pairwise(legs))
    assert int(fence["LineStringLength"]) == round(1000 * length)
    (area,) = [
        area for field in load(tmp_path / "s").dataset.fields for area in field.areas if area.name == "Hauptfläche"
    ]
    outline = Field("PFD1", "", boundaries=(area,))
    assert area.declared_area_m2 == pytest.approx(geodesic_area(outline), abs=1.0)
