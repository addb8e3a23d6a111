"""Files of other programs, and own layers that lost what they carried."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from shapely.geometry import mapping

import taskdata
from taskdata.errors import SourceError, UsageError
from taskdata.findings import Severity
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.roles import names
from taskdata.formats.read import read
from taskdata.model.fields import GuidanceKind
from taskdata.model.shapes import AreaKind, PointKind
from tests.formats.exchange import FORMATS, there_and_back
from tests.formats.valley import LONG, dataset

DISPLAY = Path(__file__).parents[2] / "samples" / "display-shapefiles"


def collection(*features: tuple[Any, dict[str, Any]]) -> str:
    items = [{"type": "Feature", "geometry": mapping(shape), "properties": values} for shape, values in features]
    return json.dumps({"type": "FeatureCollection", "features": items})


def test_shapefiles_of_a_display() -> None:
    with pytest.raises(UsageError, match=r'Obst_old\.shp.*crs="EPSG:'):
        read(DISPLAY)
    source = read(DISPLAY, options=TakeOptions(crs="EPSG:32632"))
    assert [datum.source for datum in source.datum] == ["WGS 84 / UTM zone 32N"]
    data = plain(source)
    names = [field.name for field in data.fields]
    assert names[:4] == ["Große Breite", 'Kuhle & "Hölle"', "Schmale Äcker", "Links vom Bach"]
    assert [len(field.boundaries) for field in data.fields[:4]] == [1, 1, 2, 1]
    assert len(data.fields[1].boundaries[0].interiors) == 1
    lines = {field.name: [line.name for line in field.guidance] for field in data.fields if field.guidance}
    assert lines == {"Große Breite": ["Südkante", "Hang"], "Schmale Äcker": ["quer"], "Links vom Bach": ["Bach"]}
    assert [line.kind for line in data.fields[0].guidance] == [GuidanceKind.AB, GuidanceKind.CURVE]
    assert [point.name for point in data.fields[0].points] == ["Findling", "Zufahrt", "Nässe nach Regen"]
    told = [(finding.rule.id, finding.place.file) for finding in data.findings]
    assert ("import.no-geometry", "BOUNDARY.SHP") in told


def test_lines_far_from_every_field_get_one_of_their_own(tmp_path: Path) -> None:
    near = shapely.LineString([(9.011, 52.005), (9.012, 52.005)])
    far = shapely.LineString([(9.5, 52.005), (9.6, 52.005)])
    (tmp_path / "lines.json").write_text(collection((near, {"label": "nah"}), (far, {"label": "fern"})))
    (tmp_path / "plots.json").write_text(collection((shapely.box(9.0, 52.0, 9.01, 52.01), {"FieldName": "Breite"})))
    data = plain(read(tmp_path))
    assert [(field.id, field.name, [line.name for line in field.guidance]) for field in data.fields] == [
        ("PFD1", "Breite", ["nah"]),
        ("PFD2", "lines", ["fern"]),
    ]
    assert [group.name for field in data.fields for group in field.groups] == ["lines", "lines"]
    assert data.fields[1].boundaries == ()
    (told,) = [finding for finding in data.findings if finding.rule.id == "import.far-from-fields"]
    assert told.rule.message.format_map(told.facts) == (
        "Lines and points of lines that are more than 1000 m from every field: 1. They go into a separate field."
    )


@pytest.mark.parametrize("lat", [52.0, 60.0])
def test_the_nearest_field_is_told_in_metres(tmp_path: Path, lat: float) -> None:
    """One field 400 m east and one 600 m south of a line: in degrees the southern one is nearer (geographiclib)."""
    start = {"lat1": lat, "lon1": 9.0}
    east = Geodesic.WGS84.Direct(azi1=90.0, s12=400.0, **start)
    south = Geodesic.WGS84.Direct(azi1=180.0, s12=600.0, **start)
    fields = [
        shapely.box(9.0, south["lat2"] - 0.002, 9.003, south["lat2"]),
        shapely.box(east["lon2"], lat - 0.001, east["lon2"] + 0.003, lat + 0.001),
    ]
    assert east["lon2"] - 9.0 > lat - south["lat2"]
    line = shapely.LineString([(8.9995, lat + 0.0001), (9.0, lat)])
    features = [*((shape, {"name": str(at)}) for at, shape in enumerate(fields)), (line, {"name": "Spur"})]
    (tmp_path / "all.geojson").write_text(collection(*features))
    assert [len(field.guidance) for field in plain(read(tmp_path)).fields] == [0, 1]


def test_a_line_over_two_fields_goes_where_most_of_it_lies(tmp_path: Path) -> None:
    first, second = shapely.box(9.0, 52.0, 9.01, 52.01), shapely.box(9.01, 52.0, 9.02, 52.01)
    line = shapely.LineString([(9.008, 52.005), (9.019, 52.005)])
    (tmp_path / "all.geojson").write_text(collection((first, {"n": 1}), (second, {"n": 2}), (line, {"n": 3})))
    assert [len(field.guidance) for field in plain(read(tmp_path)).fields] == [0, 1]


def test_the_column_with_the_names_may_be_named(tmp_path: Path) -> None:
    values = {"name": "Breite", "no": 17}
    (tmp_path / "a.geojson").write_text(collection((shapely.box(9.0, 52.0, 9.01, 52.01), values)))
    source = read(tmp_path)
    assert [field.name for field in plain(source).fields] == ["Breite"]
    assert [field.name for field in plain(source, TakeOptions(name_column="no")).fields] == ["17"]
    with pytest.raises(UsageError, match=r"Do you mean name\?"):
        plain(source, TakeOptions(name_column="nmae"))


@pytest.mark.parametrize("role", ["width", "heading", "rate", "speed"])
def test_a_column_without_numbers_is_no_measure(tmp_path: Path, role: str) -> None:
    values = {"Navn": "Sydkant", "B": "6,5 m"}
    line = shapely.LineString([(9.0, 52.0), (9.001, 52.0)])
    (tmp_path / "a.geojson").write_text(collection((line, values)))
    with pytest.raises(UsageError, match=f"The column navn holds no numbers, so it cannot be the {role}"):
        taskdata.read(tmp_path, columns={role: "navn"}, roles={"*": "guidance"})
    assert taskdata.read(tmp_path, columns={role: "b"}, roles={"*": "guidance"}).guidance


@pytest.mark.parametrize("kind", ["guidance", "swath", "line"])
def test_an_unknown_unit_is_refused_and_never_taken_for_metres(tmp_path: Path, kind: str) -> None:
    line = shapely.LineString([(9.0, 52.0), (9.001, 52.0)])
    (tmp_path / "a.geojson").write_text(collection((line, {"W [yd]": 7, "B": 7})))
    with pytest.raises(UsageError, match=r"column W \[yd\]: the unit 'yd' of the width is not known\. Say it in"):
        taskdata.read(tmp_path, columns={"width": "W [yd]"}, roles={"*": kind})
    mapping = tmp_path / "map.toml"
    mapping.write_text(f'[[item]]\nfile = "*"\nrole = "{kind}"\ncolumns = {{width = "B"}}\nunits = {{width = "yd"}}\n')
    with pytest.raises(UsageError, match="the unit 'yd' of the width is not known"):
        taskdata.read(tmp_path / "a.geojson", mapping=mapping)


@pytest.mark.parametrize(
    ("columns", "of_fields", "wanted"),
    [
        ({"CLIENT": ["Söderhöft"] * 3, "FIELD": ["a", "b", "c"]}, True, "FIELD"),
        ({"Farm_Name": ["Hof", "Hof", "Hof"], "Fld_Name": ["a", "b", "c"]}, True, "Fld_Name"),
        ({"Schlagname": ["a", "b", None], "Frucht": ["Raps", "Raps", "Hafer"]}, True, "Schlagname"),
        ({"field": ["a", "a", "b"], "label": ["x", "y", "z"]}, False, "label"),
        ({"SCHLAG": ["a", "a", "17"], "BEMERKUNG": ["nass", "Stein", "Kuhle"]}, True, "SCHLAG"),
        ({"Mark": ["a", None, "a"], "Bemærkning": ["våd", "sten", "hul"]}, True, "Mark"),
        ({"field_no": [4, 5, 6], "remark": ["wet", "stony", "pond"]}, True, "field_no"),
        ({"field": ["a", "a", "b"], "remark": ["x", "y", "z"]}, False, "remark"),
        ({"area": [1.0, 2.0, 3.0], "remark": ["x", "y", "z"]}, True, "remark"),
        ({"area": [1.0, 2.0, 3.0]}, True, None),
        ({"note": ["", None, ""]}, True, None),
    ],
)
def test_the_likeliest_column(columns: dict[str, list[Any]], of_fields: bool, wanted: str | None) -> None:
    table = pa.table({name: pa.array(values) for name, values in columns.items()})
    assert names.name_columns(table, of_fields=of_fields)[:1] == ((wanted,) if wanted else ())


def test_a_less_accurate_way_is_told(tmp_path: Path) -> None:
    """EPSG:31467 to WGS 84 needs the grid BETA2007 for 1 m; PROJ's own data has none (EPSG registry)."""
    crs = {"type": "name", "properties": {"name": "EPSG:31467"}}
    document = json.loads(collection((shapely.Point(3_500_000, 5_800_000), {"name": "Stein"}))) | {"crs": crs}
    (tmp_path / "old.geojson").write_text(json.dumps(document))
    source = read(tmp_path)
    (datum,) = source.datum
    assert datum.accuracy_m is not None
    assert datum.accuracy_m > 1.0
    assert datum.better_missing != ()
    found = {finding.rule.id: finding for finding in source.findings}
    assert datum.better_missing[0] in str(found["import.grid-missing"].facts["grids"])
    assert found["import.grid-missing"].severity is Severity.WARNING
    assert plain(source).points[0].lon == pytest.approx(9.0, abs=0.01)


@pytest.mark.parametrize("form", FORMATS)
def test_own_layers_without_what_they_carried(form: str, tmp_path: Path) -> None:
    base = dataset()
    source = there_and_back(base, form, tmp_path, None)
    assert source.plain
    data = plain(source)
    assert [(field.id, field.key) for field in data.fields] == [(field.id, None) for field in base.fields]
    first, old = data.fields[0], base.fields[0]
    assert first.name == LONG
    assert [(area.kind, area.declared_area_m2) for area in first.areas] == [(AreaKind.HEADLAND, 23_000)]
    assert [(line.kind, line.id) for line in first.guidance] == [(line.kind, line.id) for line in old.guidance[:4]]
    direction, circle = first.guidance[1], first.guidance[3]
    assert direction.points.tolist() == old.guidance[1].points.tolist()
    assert direction.heading_deg == 359.9999
    assert circle.points == pytest.approx(old.guidance[3].points, abs=1e-8)
    assert circle.radius_m == 150.25
    assert first.guidance[2].boundaries[0].id == "PLN3"
    assert [(point.kind, point.up_m) for point in first.points] == [
        (PointKind.FIELD_ACCESS, 0.1 + 0.2),
        (PointKind.OBSTACLE, None),
    ]
    assert [(task.id, len(task.zones)) for task in data.tasks] == [("TSK1", 2)]
    assert data.tasks[0].zones[1].setpoints == base.tasks[0].zones[1].setpoints
    left = [finding.facts["layer"] for finding in data.findings if finding.rule.id == "import.layer-left-out"]
    assert left == ["grid_cells"]
    assert [log.length for log in data.tasks[0].logs] == [base.tasks[0].logs[0].length]


def test_own_shapefiles_without_their_sidecar_know_their_short_column_names(tmp_path: Path) -> None:
    base = dataset()
    there_and_back(base, "shapefile", tmp_path, None)
    (sidecar,) = tmp_path.rglob("taskdata-sidecar.json")
    sidecar.unlink()
    data = plain(read(sidecar.parent))
    direction, old = data.fields[0].guidance[1], base.fields[0].guidance[1]
    assert (direction.heading_deg, direction.swaths_left) == (old.heading_deg, old.swaths_left)
    assert data.fields[0].areas[0].declared_area_m2 == 23_000
    assert not any("column" in str(finding.facts.get("what")).lower() for finding in data.findings)


def test_what_is_nothing_of_the_kind_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("nothing")
    with pytest.raises(SourceError, match="is in an unknown format"):
        read(tmp_path)
