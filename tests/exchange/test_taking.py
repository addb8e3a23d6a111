"""What of a stick is taken together, what is chosen, and paths into archives and files."""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from pathlib import Path

import geopandas
import numpy as np
import pyogrio
import pytest
import shapely

import taskdata
from taskdata.errors import SourceError, UsageError
from tests import samples

GPX = '<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="{}" lon="9.5"><name>{}</name></wpt></gpx>'
KML = (
    '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name>Track</name><LineString><coordinates>'
    "9.5,54.5 9.51,54.5 9.51,54.51</coordinates></LineString></Placemark></Document></kml>"
)
SQUARE = shapely.box(9.5, 54.5, 9.51, 54.51)


def fields(path: Path, *names: str) -> Path:
    """A file of GeoJSON with a square field a name, side by side."""
    path.parent.mkdir(parents=True, exist_ok=True)
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": shapely.geometry.mapping(shapely.affinity.translate(SQUARE, 0.02 * number)),
        }
        for number, name in enumerate(names)
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return path


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """Fields, a line and points in three formats, in folders, archives and an archive in an archive."""
    home = tmp_path / "stick"
    fields(home / "fields" / "fields.geojson", "Norderkoppel", "Süderkoppel")
    (home / "line.kml").write_text(KML, encoding="utf-8")
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("deep/posts.gpx", GPX.format(54.505, "Post"))
    with zipfile.ZipFile(home / "old.zip", "w") as archive:
        archive.writestr("gates.gpx", GPX.format(54.506, "Gate"))
        archive.writestr("further/inner.zip", inner.getvalue())
    (home / "readme.txt").write_text("nothing", encoding="utf-8")
    (home / ".DS_Store").write_bytes(b"\0")
    return home


def names(data: taskdata.Dataset) -> set[str | None]:
    return {item.name for item in (*data.fields, *data.points, *data.lines)} | {
        line.name for field in data.fields for line in field.guidance
    }


def test_layers_of_several_formats_are_one_set(stick: Path) -> None:
    data = taskdata.read(stick)
    assert names(data) == {"Norderkoppel", "Süderkoppel", "Track", "Post", "Gate"}
    assert data.format == "geojson, kml, gpx"
    assert [field.name for field in data.fields] == ["Norderkoppel", "Süderkoppel"]  # what is near lies in them


def test_every_path_is_a_source(stick: Path) -> None:
    assert names(taskdata.read(stick / "old.zip" / "further" / "inner.zip" / "deep" / "posts.gpx")) >= {"Post"}
    assert names(taskdata.read(stick / "old.zip" / "further")) >= {"Post"}
    assert names(taskdata.read(stick / "old.zip" / "Gates.gpx")) >= {"Gate"}
    assert {"Gate", "Post"} <= names(taskdata.read(stick / "old.zip"))
    for missing in ("old.zip/none.gpx", "none", "old.zip/../line.kml", "line.kml/none", "old.zip/gates.gpx/none"):
        with pytest.raises(SourceError, match=r"does not exist|no layer of its file"):
            taskdata.read(f"{stick}/{missing}")


def test_a_layer_of_a_file_is_a_source(stick: Path) -> None:
    file = stick / "farm.gpkg"
    for word, layer, kind, shape in (("A", "parcels", "Polygon", SQUARE), ("B", "places", "Point", SQUARE.centroid)):
        pyogrio.raw.write(
            file,
            np.array([shapely.to_wkb(shape)], dtype=object),
            [np.array([word], dtype=object)],
            ["name"],
            geometry_type=kind,
            crs="EPSG:4326",
            layer=layer,
            append=word == "B",
        )
    assert names(taskdata.read(file)) == {"A", "B"}
    assert names(taskdata.read(file / "parcels")) == {"A"}
    assert "B" in names(taskdata.read(file / "PLACES"))
    with pytest.raises(SourceError, match="parcels and places"):
        taskdata.read(file / "roads")
    assert names(taskdata.read(stick, take="farm.gpkg/parcels")) == {"A"}
    assert names(taskdata.read(stick, take=["*/parcels", "*.kml"])) == {"A", "Track"}


def test_only_what_fits_is_taken(stick: Path) -> None:
    assert names(taskdata.read(stick, take="*.kml")) >= {"Track"}
    assert "Norderkoppel" not in names(taskdata.read(stick, take=["*.kml", "old.zip"]))
    with pytest.raises(UsageError) as refused:
        taskdata.read(stick, take="*.shp")
    assert "fits '*.shp'" in str(refused.value)
    assert "fields/fields.geojson" in str(refused.value)


def test_what_fits_nothing_is_told(stick: Path) -> None:
    data = taskdata.read(stick, roles={"*.dxf": "line", "*.kml": "guidance"})
    told = [item.message for item in data.findings if item.rule.id == "import.fits-nothing"]
    assert told == ["The pattern '*.dxf' fits nothing that was read."]


def test_identical_files_are_taken_once(stick: Path) -> None:
    shutil.copytree(stick / "fields", stick / "backup 2024-05-01")
    data = taskdata.read(stick)
    assert [field.name for field in data.fields] == ["Norderkoppel", "Süderkoppel"]
    (told,) = (item.message for item in data.findings if item.rule.id == "import.copy-left-out")
    assert told == "backup 2024-05-01/fields.geojson is left out: it holds the same as fields/fields.geojson."
    assert len(taskdata.read(stick, take="backup*").fields) == 2


def test_among_several_sets_none_is_chosen_and_copies_are_named_so(tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    for name, sample in (("a", samples.OFFICE), ("a copy", samples.OFFICE), ("b", samples.OLDER)):
        shutil.copytree(sample, stick / name)
    with pytest.raises(UsageError, match="holds 3 sets") as refused:
        taskdata.read(stick)
    assert f"{stick}/a, {stick}/a copy (the same as {stick}/a), {stick}/b" in str(refused.value)
    names = [item.name for item in taskdata.read(samples.OLDER).fields]
    assert [item.name for item in taskdata.read(stick, take="b").fields] == names


def test_what_is_damaged_is_told_and_the_rest_taken(stick: Path) -> None:
    (stick / "bad.zip").write_bytes(b"PK\3\4junk")
    (stick / "bad.gpx").write_text("<gpx>", encoding="utf-8")
    (stick / "cut.shp").write_bytes(b"\0\0\x27\x0a")
    data = taskdata.read(stick)
    assert {item.file for item in data.unread} == {"bad.zip", "bad.gpx", "cut.shp"}
    assert {"Norderkoppel", "Gate"} <= names(data)


@pytest.mark.parametrize("letters", ["cp1250", "cp1252", "cp850", "utf-8"])
def test_the_encoding_of_a_mapping_counts(letters: str, tmp_path: Path) -> None:
    """The bytes of a dBASE table and of a text say nothing of the page of letters that they were written in."""
    name = {"cp1250": "Płoń", "cp850": "Süd"}.get(letters, "Sørmark")
    stick = tmp_path / "stick"
    stick.mkdir()
    (stick / "points.csv").write_bytes(f"lon;lat;Name\n9.5;54.5;{name}\n9.6;54.5;B\n".encode(letters))
    shapes = np.array([shapely.to_wkb(SQUARE)], dtype=object)
    columns = [np.array(["XXXXXXXX"], dtype=object)]
    pyogrio.raw.write(stick / "a.shp", shapes, columns, ["Name"], geometry_type="Polygon", crs="EPSG:4326")
    table = (stick / "a.dbf").read_bytes()
    (stick / "a.dbf").write_bytes(table.replace(b"XXXXXXXX", name.encode(letters).ljust(8)))
    (stick / "a.cpg").write_text("UTF-16", encoding="ascii")
    said = f'[[item]]\nfile = "*"\nencoding = "{letters}"\n'
    (tmp_path / "m.toml").write_text(said, encoding="utf-8")
    data = taskdata.read(stick, mapping=tmp_path / "m.toml")
    assert next(field.name for field in data.fields) == name
    assert {point.name for point in data.points} == {name, "B"}


def test_an_older_copy_is_left_out_and_another_year_is_not(tmp_path: Path) -> None:
    fields(tmp_path / "fields.geojson", "A", "B", "C")
    fields(tmp_path / "backup" / "fields_2023-05-01.geojson", "A", "B alt")
    fields(tmp_path / "2022" / "fields.geojson", "A", "B", "C", "Gone")
    data = taskdata.read(tmp_path)
    assert [field.name for field in data.fields] == ["A", "B", "C"]
    told = [item.message for item in data.findings if item.rule.id == "import.copy-left-out"]
    assert told == [
        "backup/fields_2023-05-01.geojson is left out: it is an older copy of fields.geojson by its name, and 2 of its "
        "2 rows are the same.",
        "2022/fields.geojson is left out: it is an older copy of fields.geojson by its name, and 3 of its 4 rows are "
        "the same.",
    ]
    lost = [loss.what for loss in data.losses]
    assert "1 row of 2022/fields.geojson" in lost  # what the newer one has not
    assert not [what for what in lost if "backup" in what]
    found = {item.path: item.why for item in taskdata.survey(tmp_path).items}
    assert "older copy of fields.geojson" in found["2022/fields.geojson"]
    for year, rate in ((2023, 100.0), (2024, 120.0)):
        text = f"lon;lat;rate_kg_ha\n9.5;54.5;{rate}\n9.6;54.5;{rate + 1}\n"
        (tmp_path / f"map_{year}.csv").write_text(text, encoding="utf-8")
    said = taskdata.read(tmp_path, roles={"map*": "ratemap"}).findings
    assert not [item for item in said if item.rule.id == "import.copy-left-out" and "map" in item.message]


def test_the_same_fields_in_two_files_are_told(tmp_path: Path) -> None:
    """One farm exported twice, in two systems and formats, beside a field that lies in one file alone."""
    rows = {"name": ["Koppel", "Wiese"]}
    shapes = [shapely.box(7.0, 54.3, 7.003, 54.302), shapely.box(7.01, 54.3, 7.013, 54.302)]
    farm = geopandas.GeoDataFrame(rows, geometry=shapes, crs=4326)
    farm.to_file(tmp_path / "farm.gpkg")
    farm.iloc[:1].assign(name="Koppel 2024").to_crs(25832).to_file(tmp_path / "old.shp")
    data = taskdata.read(tmp_path)
    assert len(data.fields) == 3
    (told,) = [item for item in data.findings if item.rule.id == "import.field-twice"]
    assert {name for name in ("Koppel", "Koppel 2024") if f'"{name}"' in told.message} == {"Koppel", "Koppel 2024"}
