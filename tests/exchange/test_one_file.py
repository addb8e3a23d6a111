"""A target with the suffix of its format and one layer is that file; several layers need a folder."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from pathlib import Path

import pyarrow.parquet as pq
import pyogrio
import pytest
import shapefile

import taskdata
from taskdata.errors import TargetError, UsageError
from taskdata.file_formats import table
from taskdata.file_formats.contents import begins_with
from taskdata.file_formats.declaration import Carries, Layers, Shape
from taskdata.file_formats.table import FORMATS, format_named
from taskdata.formats.drivers import sidecar
from tests import samples

ALONE = [form.name for form in FORMATS if form.writes and form.layers is Layers.ONE]
LOSSY = [name for name in ALONE if format_named(name).carries is not Carries.EVERYWHERE]
RING = [[7.0, 54.3], [7.01, 54.3], [7.01, 54.31], [7.0, 54.3]]


def fingerprint(folder: Path) -> dict[str, str]:
    return {item.name: hashlib.sha256(item.read_bytes()).hexdigest() for item in sorted(folder.iterdir())}


@pytest.fixture
def fields(tmp_path: Path) -> Path:
    """Fields alone, with all their columns and no task data set behind them."""
    taskdata.convert(samples.OFFICE, tmp_path / "all", to="geojson")
    return (tmp_path / "all" / "fields.geojson").rename(tmp_path / "source.geojson")


@pytest.fixture
def plot(tmp_path: Path) -> Path:
    """A task data set with one field, a customer and a comment of which no column of a layer tells."""
    folder = tmp_path / "plot" / "TASKDATA"
    folder.mkdir(parents=True)
    points = "".join(f'<PNT A="10" C="{lat}" D="{lon}"/>' for lon, lat in RING)
    (folder / "TASKDATA.XML").write_text(
        '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1"><!-- spring -->'
        '<CTR A="CTR1" B="Hof Ahrenbrook"/><PFD A="PFD1" C="Ostzipfel" D="0" E="CTR1">'
        f'<PLN A="1"><LSG A="1">{points}</LSG></PLN></PFD></ISO11783_TaskData>'
    )
    return folder


def rows(path: Path) -> int:
    """How many rows a general-purpose library finds."""
    if path.suffix == ".kmz":
        return pyogrio.read_info(f"/vsizip/{path}/doc.kml")["features"]
    return pq.read_table(path).num_rows if path.suffix == ".parquet" else pyogrio.read_info(path)["features"]


@pytest.mark.parametrize("name", ALONE)
def test_one_layer_is_the_file_that_was_named(name: str, fields: Path, tmp_path: Path) -> None:
    target = tmp_path / "out" / f"Meine Schläge{format_named(name).suffix}"
    if Shape.POLYGON not in format_named(name).shapes:
        with pytest.raises(UsageError, match="holds points and lines alone, and there are none"):
            taskdata.convert(fields, target)
        return
    done = taskdata.convert(fields, target, verify=True)
    assert target.is_file()
    assert rows(target) == 5
    assert done.target == str(target)
    before, after = taskdata.read(fields), taskdata.read(target)
    assert after.format == name
    assert taskdata.compare(before, after).equal
    assert [farm.name for farm in after.farms] == [farm.name for farm in before.farms]


@pytest.mark.parametrize("name", ALONE)
def test_several_layers_need_a_folder(name: str, tmp_path: Path) -> None:
    target = tmp_path / f"farm{format_named(name).suffix}"
    held = 7 if Shape.POLYGON in format_named(name).shapes else 3
    for dry_run in (True, False):
        with pytest.raises(UsageError, match=f"holds one layer, and there are {held}") as caught:
            taskdata.convert(samples.OFFICE, target, dry_run=dry_run)
        assert "Name a folder" in str(caught.value)
        assert ".gpkg" in str(caught.value)
        assert "\n" not in str(caught.value)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", [name for name in LOSSY if Shape.POLYGON in format_named(name).shapes])
def test_what_one_file_cannot_carry_is_told(name: str, plot: Path, tmp_path: Path) -> None:
    target = tmp_path / f"plot{format_named(name).suffix}"
    dry = taskdata.convert(plot, target, dry_run=True)
    done = taskdata.convert(plot, target, verify=True)
    assert dry.losses == done.losses
    assert [loss.what for loss in done.losses] == [
        "customer CTR1",
        "everything else in the task data set that no column of a layer shows",
    ]
    way = "name a folder" if format_named(name).carries is Carries.IN_FOLDERS else "convert to "
    assert all(f"; {way}" in loss.why for loss in done.losses)
    (back,) = taskdata.read(target).fields
    (before,) = taskdata.read(plot).fields
    assert (back.id, back.name) == (before.id, before.name)
    assert back.boundaries[0].exteriors[0].tolist() == before.boundaries[0].exteriors[0].tolist()


def test_one_shapefile_carries_the_whole_set_in_its_sidecar(plot: Path, tmp_path: Path) -> None:
    done = taskdata.convert(plot, tmp_path / "out" / "plot.SHP", verify=True)
    assert done.losses == ()
    assert done.target == str(tmp_path / "out" / "plot.shp")
    assert {item.name for item in (tmp_path / "out").iterdir()} == {
        *(f"plot{ending}" for ending in (".shp", ".shx", ".dbf", ".prj", ".cpg")),
        f"plot.{sidecar.NAME}",
    }
    with shapefile.Reader(str(tmp_path / "out" / "plot.shp")) as reader:
        assert [record["name"] for record in reader.records()] == ["Ostzipfel"]
    for source in (tmp_path / "out" / "plot.shp", tmp_path / "out"):
        back = tmp_path / f"back of {source.stem}"
        taskdata.convert(source, back, to="isoxml")
        assert taskdata.compare(plot, back).equal
        assert "<!-- spring -->" in (back / "TASKDATA" / "TASKDATA.XML").read_text(encoding="utf-8")


def test_the_sidecar_keeps_long_names_and_texts(fields: Path, tmp_path: Path) -> None:
    document = json.loads(fields.read_text(encoding="utf-8"))
    document["features"][0]["properties"]["name"] = "Ü" * 300
    fields.write_text(json.dumps(document), encoding="utf-8")
    taskdata.convert(fields, tmp_path / "out" / "f.shp", verify=True)
    assert taskdata.read(tmp_path / "out" / "f.shp").fields[0].name == "Ü" * 300
    (tmp_path / "out" / f"f.{sidecar.NAME}").write_text("{", encoding="utf-8")
    with pytest.raises(taskdata.SourceError, match="The sidecar file is damaged") as caught:
        taskdata.read(tmp_path / "out" / "f.shp")
    assert f"f.{sidecar.NAME}" in str(caught.value)


def test_a_shapefile_is_replaced_with_all_its_files_and_nothing_else(fields: Path, plot: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    taskdata.convert(fields, out / "f.shp")
    (out / "f.txt").write_text("mine")
    (out / "other.dbf").write_text("mine")
    before = fingerprint(out)
    with pytest.raises(TargetError, match="exists already"):
        taskdata.convert(plot, out / "f.shp")
    (out / "f.qix").write_bytes(b"an index of another program")
    with pytest.raises(TargetError, match=r"f\.qix: would not fit what is written"):
        taskdata.convert(plot, out / "f.shp", overwrite=True)
    (out / "f.qix").unlink()
    assert fingerprint(out) == before
    taskdata.convert(plot, out / "f.shp", overwrite=True)
    after = fingerprint(out)
    assert set(after) == set(before)
    kept = {name for name in before if after[name] == before[name]}
    assert {"f.txt", "other.dbf"} <= kept
    assert not kept & {"f.shp", "f.shx", "f.dbf", f"f.{sidecar.NAME}"}
    assert [field.name for field in taskdata.read(out / "f.shp").fields] == ["Ostzipfel"]


def test_a_table_that_belongs_to_nothing_keeps_a_shapefile_away(plot: Path, tmp_path: Path) -> None:
    (tmp_path / "f.dbf").write_bytes(b"a table of somebody")
    for overwrite in (False, True):
        with pytest.raises(TargetError, match=r"f\.dbf: exists already, and is not replaced"):
            taskdata.convert(plot, tmp_path / "f.shp", overwrite=overwrite)
    assert (tmp_path / "f.dbf").read_bytes() == b"a table of somebody"
    assert not (tmp_path / "f.shp").exists()


def test_a_layer_is_known_by_its_columns_whatever_its_file_is_called(fields: Path, tmp_path: Path) -> None:
    """A file of another program that has the names of some columns is no layer of this one."""
    renamed = fields.rename(tmp_path / "points.geojson")
    assert {field.id for field in taskdata.read(renamed).fields} == {f"PFD{number}" for number in range(1, 6)}
    document = json.loads(renamed.read_text(encoding="utf-8"))
    told = [feature["properties"]["customer_name"] for feature in document["features"]]
    names = list(dict.fromkeys(name for name in told if name))
    for feature in document["features"]:
        del feature["properties"]["declared_area_m2"]
    renamed.write_text(json.dumps(document), encoding="utf-8")
    data = taskdata.read(renamed)
    assert (data.fields[0].crop, data.crops) == (None, ())
    assert [customer.name for customer in data.customers] == names


def test_a_format_without_a_place_for_the_set_says_so(
    plot: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    declared(monkeypatch, carries=Carries.NOWHERE)
    done = taskdata.convert(plot, tmp_path / "layers", to="geojson", verify=True)
    assert [item.name for item in (tmp_path / "layers").iterdir()] == ["fields.geojson"]
    assert len(done.losses) == 2
    for loss in done.losses:
        assert loss.why.startswith(
            "GeoJSON has no place for the tables that carry the whole set; convert to shapefile, "
        )


def declared(monkeypatch: pytest.MonkeyPatch, **changes: object) -> None:
    """Let GeoJSON be declared otherwise."""
    form = replace(format_named("geojson"), **changes)
    monkeypatch.setattr(table, "FORMATS", tuple(form if item.name == form.name else item for item in FORMATS))


def test_layers_of_shapes_that_a_format_lacks_are_left_out_and_told(
    plot: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    declared(monkeypatch, shapes=frozenset({Shape.POINT, Shape.LINE}), carries=Carries.NOWHERE)
    with pytest.raises(UsageError, match="holds a part of each layer, so reading it back proves nothing"):
        taskdata.convert(samples.OFFICE, tmp_path / "layers", to="geojson", verify=True)
    assert not (tmp_path / "layers").exists()
    done = taskdata.convert(samples.OFFICE, tmp_path / "layers", to="geojson")
    there = {item.stem for item in (tmp_path / "layers").iterdir()}
    assert there == {"lines", "guidance_lines", "points"}
    left = [loss.what for loss in done.losses if loss.why == "GeoJSON holds points and lines alone"]
    assert left == ["layer fields", "layer areas", "layer treatment_zones", "layer grid_cells"]
    with pytest.raises(UsageError, match="GeoJSON holds points and lines alone, and there are none") as caught:
        taskdata.convert(plot, tmp_path / "plot.geojson")
    assert "Choose shapefile, gpkg, " in str(caught.value)


def test_a_format_of_xml_is_told_before_a_set_is_looked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    declared(monkeypatch, told=begins_with(b"<places"))
    file = tmp_path / "a.xml"
    file.write_text('<places>{"type":"FeatureCollection","features":[]}</places>')
    with pytest.raises(taskdata.SourceError, match="GeoJSON"):
        taskdata.read(file)
    assert taskdata.read(samples.OFFICE).format == "isoxml"
