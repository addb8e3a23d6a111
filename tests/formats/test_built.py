"""What is built of the layers of other programs: owners once, spacings, headings, areas, outlines."""

from __future__ import annotations

import json
import math
from collections import Counter
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import geopandas
import numpy as np
import pyarrow as pa
import pyogrio
import pytest
import shapefile
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pyproj import CRS
from shapely.geometry import mapping

import taskdata
from taskdata.formats.base import RawTable
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.foreign.letters import with_letters
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.model.fields import GuidanceKind
from taskdata.model.shapes import AreaKind, LineKind, PointKind
from tests.heavy import examples, some

WEST, SOUTH = 10.28, 54.31


def box(east: float, north: float = 0.0, wide: float = 0.004, high: float = 0.002) -> Any:
    return shapely.box(WEST + east, SOUTH + north, WEST + east + wide, SOUTH + north + high)


def put(folder: Path, name: str, *features: tuple[Any, dict[str, Any]]) -> Path:
    items = [{"type": "Feature", "geometry": mapping(shape), "properties": values} for shape, values in features]
    file = folder / f"{name}.geojson"
    file.write_text(json.dumps({"type": "FeatureCollection", "features": items}), encoding="utf-8")
    return file


def told(data: taskdata.Dataset, rule: str) -> list[str]:
    return [finding.message for finding in data.findings if finding.rule.id == f"import.{rule}"]


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    """Three fields of two farms of one customer and one of another, two spellings among them."""
    rows = [
        ("Norderkoppel", "Ilse Brodersen", "Lindhollen", "Winterweizen", "Aalkrug"),
        ("Süderkoppel", "ILSE  BRODERSEN", "Lindhollen", "winterweizen", "Moorkrug"),
        ("Hinterm Wall", "Ilse Brodersen", "Vorwerk", "Hafer", None),
        ("Ochsenweg", "Gut Immenrade", "Lindhollen", None, "Aalkrug"),
    ]
    names = ("Schlag", "Kunde", "Betrieb", "Frucht", "Sorte")
    put(tmp_path, "fields", *((box(0.006 * at), dict(zip(names, row, strict=True))) for at, row in enumerate(rows)))
    return tmp_path


def test_owners_and_crops_become_things_of_the_set_once_each(estate: Path) -> None:
    data = taskdata.read(estate)
    assert [(item.id, item.name) for item in data.customers] == [("CTR1", "Ilse Brodersen"), ("CTR2", "Gut Immenrade")]
    assert [(item.name, item.customer) for item in data.farms] == [
        ("Lindhollen", "CTR1"),
        ("Vorwerk", "CTR1"),
        ("Lindhollen", "CTR2"),
    ]
    crops = {crop.name: [variety.name for variety in crop.varieties] for crop in data.crops}
    assert crops == {"Winterweizen": ["Aalkrug", "Moorkrug"], "Hafer": []}
    assert [field.customer for field in data.fields] == ["CTR1", "CTR1", "CTR1", "CTR2"]
    assert [field.farm for field in data.fields] == ["FRM1", "FRM1", "FRM2", "FRM3"]
    assert [field.crop for field in data.fields] == ["CTP1", "CTP1", "CTP2", None]
    assert [field.variety for field in data.fields] == ["CVT1", "CVT2", None, None]
    assert told(data, "spellings-joined") == [
        "The customer Ilse Brodersen is also written 'ILSE BRODERSEN'; it is one customer.",
        "The crop Winterweizen is also written 'winterweizen'; it is one crop.",
    ]
    assert told(data, "columns-taken") == [
        "Read from columns of fields.geojson: customer from Kunde, farm from Betrieb, crop from Frucht, "
        "variety from Sorte."
    ]
    assert told(data, "value-left-out") == [
        "The variety of 1 row of fields.geojson is left out: a variety belongs to a crop, and none is named."
    ]


def test_customers_of_one_last_name_are_told_by_the_first(tmp_path: Path) -> None:
    people = [("Brodersen", "Ilse"), ("Brodersen", "Jan"), ("BRODERSEN", "ilse"), ("Gut Immenrade", None)]
    rows = [(box(0.006 * at), {"Kunde": last, "Vorname": first}) for at, (last, first) in enumerate(people)]
    data = taskdata.read(put(tmp_path, "fields", *rows))
    assert [(item.name, item.first_name) for item in data.customers] == [
        ("Brodersen", "Ilse"),
        ("Brodersen", "Jan"),
        ("Gut Immenrade", None),
    ]
    assert [field.customer for field in data.fields] == ["CTR1", "CTR2", "CTR1", "CTR3"]
    assert told(data, "columns-left-out") == []


def test_they_reach_a_task_data_set_without_an_error(estate: Path, tmp_path: Path) -> None:
    line = shapely.LineString([(WEST + 0.001, SOUTH + 0.001), (WEST + 0.003, SOUTH + 0.001)])
    put(estate, "ab_lines", (line, {"NAME": "Süd", "spacing_cm": 2400}))
    put(
        estate, "obstacles", (shapely.Point(WEST + 0.002, SOUTH + 0.0012).buffer(0.0001, quad_segs=3), {"NAME": "Mast"})
    )
    stick = tmp_path.with_name(f"{tmp_path.name} stick")
    taskdata.convert(estate, stick, to="isoxml")
    there = taskdata.read(stick)
    assert [item.name for item in there.customers] == ["Ilse Brodersen", "Gut Immenrade"]
    assert [item.name for item in there.farms] == ["Lindhollen", "Vorwerk", "Lindhollen"]
    assert [(crop.name, len(crop.varieties)) for crop in there.crops] == [("Winterweizen", 2), ("Hafer", 0)]
    assert [field.farm for field in there.fields] == ["FRM1", "FRM1", "FRM2", "FRM3"]
    (guidance,) = there.guidance
    assert (guidance.kind, guidance.name, guidance.spacing_m) == (GuidanceKind.AB, "Süd", 24.0)
    assert [(area.kind, area.name) for area in there.fields[0].areas] == [(AreaKind.OBSTACLE, "Mast")]
    findings = taskdata.check(stick).findings
    assert [finding.message for finding in findings if finding.severity.value == "error"] == []


@pytest.mark.parametrize(
    ("column", "value", "wanted"),
    [
        ("spacing_m", 12.0, 12.0),
        ("Arbeitsbreite [cm]", 2400, 24.0),
        ("swath_width_ft", 30, 9.144),
        ("écartement", "12,5", 12.5),
        ("width", "6 m", 6.0),
        ("width (in)", 360.0, 9.144),
    ],
)
def test_spacings_in_any_unit(column: str, value: Any, wanted: float, tmp_path: Path) -> None:
    """A foot is 0.3048 m and an inch 0.0254 m (international yard and pound agreement, 1959)."""
    line = shapely.LineString([(WEST, SOUTH), (WEST + 0.003, SOUTH + 0.001)])
    data = taskdata.read(put(tmp_path, "guidance", (line, {"name": "1", column: value})))
    assert [item.spacing_m for item in data.guidance] == [pytest.approx(wanted)]
    assert len(told(data, "lines-steer")) == 1


def test_a_column_that_is_named_counts_in_the_unit_of_its_name(tmp_path: Path) -> None:
    line = shapely.LineString([(WEST, SOUTH), (WEST + 0.003, SOUTH + 0.001)])
    file = put(tmp_path, "guidance", (line, {"name": "1", "abc_cm": 900, "width": 3.0}))
    assert taskdata.read(file, columns={"spacing": "abc_cm"}).guidance[0].spacing_m == 9.0
    with pytest.raises(taskdata.UsageError, match=r"Do you mean abc_cm\?"):
        taskdata.read(file, columns={"spacing": "abc_mc"})


def test_a_point_with_a_heading_is_a_direction(tmp_path: Path) -> None:
    spots = [
        (shapely.Point(WEST + 0.001 * at, SOUTH), {"name": f"A{at}", "heading": deg})
        for at, deg in ((1, 90.5), (2, -10))
    ]
    spots.append((shapely.Point(WEST, SOUTH), {"name": "Stein", "heading": None}))
    data = taskdata.read(put(tmp_path, "aplus", *spots))
    assert [(item.kind, item.heading_deg) for item in data.guidance] == [
        (GuidanceKind.A_PLUS, 90.5),
        (GuidanceKind.A_PLUS, 350.0),
    ]
    assert [point.name for point in data.points] == ["Stein"]


def test_a_heading_that_contradicts_the_points_is_told(tmp_path: Path) -> None:
    start, azimuths = (SOUTH, WEST), (83.0, 200.0)
    rows = []
    for azimuth, stated in zip(azimuths, (83.2, 20.0), strict=True):
        end = Geodesic.WGS84.Direct(*start, azimuth, 400.0)
        rows.append((shapely.LineString([(WEST, SOUTH), (end["lon2"], end["lat2"])]), {"heading": stated}))
    data = taskdata.read(put(tmp_path, "ab", *rows))
    assert told(data, "heading-contradicts") == [
        "Row 2 of ab.geojson states a heading of 20°, and its line runs at 200.00°: the points are kept."
    ]
    assert [line.heading_deg for line in data.guidance] == [None, None]


def test_areas_lines_and_points_are_what_their_layer_or_their_row_says(tmp_path: Path) -> None:
    put(tmp_path, "fields", (box(0.0), {"name": "Norderkoppel"}))
    small = shapely.Point(WEST + 0.002, SOUTH + 0.001).buffer(0.0001, quad_segs=3)
    put(tmp_path, "Hindernisse", (small, {}))
    put(tmp_path, "shapes", (small, {"Typ": "Wasser"}), (shapely.affinity.translate(small, 0.001), {"Typ": "Gebäude"}))
    put(tmp_path, "Zaun", (shapely.LineString([(WEST, SOUTH), (WEST + 0.004, SOUTH)]), {"name": "West"}))
    put(tmp_path, "Zufahrten", (shapely.Point(WEST, SOUTH), {}))
    (field,) = taskdata.read(tmp_path).fields
    assert Counter(area.kind for area in field.areas) == {AreaKind.OBSTACLE: 1, AreaKind.WATER: 1, AreaKind.BUILDING: 1}
    assert [(line.kind, line.name) for line in field.lines] == [(LineKind.FENCE, "West")]
    assert [point.kind for point in field.points] == [PointKind.FIELD_ACCESS]
    assert field.guidance == ()


def test_closed_outlines_are_fields(tmp_path: Path) -> None:
    data = taskdata.read(put(tmp_path, "boundaries", (shapely.LineString(box(0.0).exterior.coords), {"name": "Au"})))
    assert [(field.name, len(field.boundaries)) for field in data.fields] == [("Au", 1)]
    assert data.fields[0].boundaries[0].exteriors[0].shape == (5, 2)


def test_names_that_repeat_or_are_missing_are_told(tmp_path: Path) -> None:
    rows = [(box(0.006 * at), {"name": name}) for at, name in enumerate(("Au", "Au", None, "7"))]
    data = taskdata.read(put(tmp_path, "fields", *rows))
    assert [field.name for field in data.fields] == ["Au", "Au", "fields 3", "7"]
    assert told(data, "names-repeated") == ["Fields of one name in fields.geojson: Au (2)."]
    assert told(data, "names-missing") == [
        "Fields without a name in fields.geojson: 1 of 4. They are named after the layer and numbered."
    ]


def test_rates_are_left_to_the_rate_map(tmp_path: Path) -> None:
    cells = [(box(0.0001 * at, 0.0, 0.0001, 0.0001), {"Menge": 100.0 + at % 7}) for at in range(40)]
    file = put(tmp_path, "zones", *cells)
    data = taskdata.read(file)
    assert data.fields == ()
    (message,) = told(data, "rates-set-aside")
    assert message.startswith("zones.geojson is left aside: it is taken as a rate map")
    assert any(loss.what == "layer zones.geojson" for loss in data.losses)
    assert len(taskdata.read(file, roles={"zones.geojson": "field"}).fields) == 40


def test_a_log_without_times_is_a_log_and_can_be_written(tmp_path: Path) -> None:
    rows = [(shapely.Point(WEST + 0.00003 * at, SOUTH), {"Geschw": 8.5}) for at in range(120)]
    file = put(tmp_path, "aufzeichnung", *rows)
    data = taskdata.read(file)
    (task,) = data.tasks
    records = task.logs[0].records
    assert records is not None
    assert np.isnat(records.time).all()
    assert told(data, "log-without-times") == ["aufzeichnung.geojson is taken as a log of 120 positions without times."]
    taskdata.convert(file, tmp_path / "stick", to="isoxml")
    (again,) = taskdata.read(tmp_path / "stick").tasks
    assert again.logs[0].records is not None
    assert again.logs[0].records.lon == pytest.approx(records.lon, abs=1e-7)


@settings(max_examples=examples(8), suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.data())
def test_every_row_is_somewhere(tmp_path: Path, data: st.DataObject) -> None:
    """As many rows as GDAL counts become fields, areas, lines or points, whatever the columns say."""
    count = data.draw(st.integers(1, 8))
    text = st.one_of(st.none(), st.text(max_size=12), st.sampled_from(["Au", "AU ", "12", "fence", "obstacle"]))
    columns = data.draw(st.lists(st.sampled_from(["name", "Kunde", "farm", "type", "Frucht", "w_m", "x"]), unique=True))
    kinds = {"polygon": box, "line": across, "point": middle}
    shapes = [kinds[data.draw(st.sampled_from(sorted(kinds)))](0.006 * at) for at in range(count)]
    file = put(tmp_path, "layer", *((shape, {name: data.draw(text) for name in columns}) for shape in shapes))
    found = taskdata.read(file)
    outlines = sum(bool(field.boundaries) for field in found.fields)
    rows = outlines + len(found.areas) + len(found.lines) + len(found.points) + len(found.guidance)
    assert rows == pyogrio.read_info(file)["features"]


def across(east: float) -> Any:
    return shapely.LineString([(WEST + east, SOUTH), (WEST + east + 0.004, SOUTH + 0.002)])


def middle(east: float) -> Any:
    return shapely.Point(WEST + east + 0.002, SOUTH + 0.001)


def shapefile_of(folder: Path, names: list[str], written: str, stated: str | None) -> Path:
    """Write a shapefile of fields whose names are in one encoding, and a ``.cpg`` that states another or none."""
    with shapefile.Writer(str(folder / "fields.shp"), shapeType=shapefile.POLYGON, encoding=written) as writer:
        writer.field("NAME", "C", 30)
        for at, name in enumerate(names):
            writer.poly([[list(spot) for spot in box(0.006 * at).exterior.coords][::-1]])
            writer.record(name)
    (folder / "fields.prj").write_text(CRS.from_epsg(4326).to_wkt("WKT1_ESRI"))
    (folder / "fields.cpg").unlink(missing_ok=True)
    if stated is not None:
        (folder / "fields.cpg").write_text(stated)
    return folder / "fields.shp"


GERMAN = ["Große Breite", "Süderkämpe", "Öland", "Mühlenkoog"]


@pytest.mark.parametrize(
    ("names", "written", "stated", "guessed"),
    [
        (GERMAN, "utf-8", "UTF-8", False),
        (GERMAN, "cp1252", "1252", False),
        (GERMAN, "cp1252", "UTF-8", True),
        (GERMAN, "utf-8", "1252", True),
        (GERMAN, "utf-8", "ISO-8859-1", True),
        (GERMAN, "cp850", "1252", True),
        (GERMAN, "cp850", "UTF-8", True),
        (["Gärdet", "Åkern", "Öster"], "cp1252", "850", True),
        (["Łąka", "Pole długie", "Żwirowa"], "cp1250", "1250", False),
        (["Łąka", "Pole długie"], "utf-8", "1250", True),
    ],
)
def test_a_cpg_that_lies_is_told_and_names_are_right(
    names: list[str], written: str, stated: str, guessed: bool, tmp_path: Path
) -> None:
    data = taskdata.read(shapefile_of(tmp_path, names, written, stated))
    assert [field.name for field in data.fields] == names
    assert bool(told(data, "letters-guessed")) == guessed


@pytest.mark.parametrize(("driver", "written"), [(0x02, "cp850"), (0x03, "cp1252"), (0xC8, "cp1250"), (0x01, "cp437")])
def test_the_language_driver_of_a_table_counts(driver: int, written: str, tmp_path: Path) -> None:
    """Numbers of language drivers from memory; GDAL writes 0x57 for ANSI and reads the same ones."""
    file = shapefile_of(tmp_path, ["Brüche", "Mühle"], written, None)
    head = bytearray(file.with_suffix(".dbf").read_bytes())
    head[29] = driver
    file.with_suffix(".dbf").write_bytes(head)
    data = taskdata.read(file)
    assert [field.name for field in data.fields] == ["Brüche", "Mühle"]
    assert told(data, "letters-guessed") == []


def test_letters_of_utf_8_written_twice_are_read(tmp_path: Path) -> None:
    twice = [name.encode().decode("latin-1") for name in GERMAN]
    rows = [(box(0.006 * at), {"name": name}) for at, name in enumerate(twice)]
    data = taskdata.read(put(tmp_path, "fields", *rows))
    assert [field.name for field in data.fields] == GERMAN
    assert len(told(data, "letters-guessed")) == 1


def test_the_encoding_of_a_mapping_file_counts(tmp_path: Path) -> None:
    """In code page 850 the bytes of these words are words in windows-1252 too, so that nothing but a person knows."""
    names = ["Gro\u00dfe", "\u00d3n"]
    file = shapefile_of(tmp_path, names, "cp850", "1252")
    assert [field.name for field in taskdata.read(file).fields] != names
    mapping_file = tmp_path.with_name(f"{tmp_path.name}.toml")
    mapping_file.write_text('[[item]]\nfile = "fields.shp"\nencoding = "cp850"\n')
    assert [field.name for field in taskdata.read(file, mapping=mapping_file).fields] == names


@given(st.lists(st.text(st.one_of(st.characters(max_codepoint=127), st.characters(min_codepoint=0x400)), max_size=20)))
def test_texts_beyond_the_letters_of_windows_stay_as_they_are(texts: list[str]) -> None:
    """What is in no letters of windows-1252 cannot have been bytes of UTF-8 that were taken for them."""
    safe = [text for text in texts if not set(text) & WINDOWS]
    layer = RawTable("a", "a.geojson", pa.table({"name": pa.array(safe, pa.string())}))
    read = with_letters(PlacedLayers("a", "geojson", {"a": layer}))
    assert read.tables["a"].table["name"].to_pylist() == safe
    assert read.findings == []


WINDOWS = {bytes([code]).decode("cp1252", "ignore") for code in range(128, 256)} - {""}


COLUMNS: dict[str, pa.Array] = {
    "null": pa.nulls(30),
    "bytes": pa.array([b"a"] * 30),
    "list": pa.array([[1]] * 30),
    "struct": pa.array([{"a": 1}] * 30),
    "dictionary": pa.array(["a", "b"] * 15).dictionary_encode(),
    "date": pa.array([datetime(2021, 1, 1)] * 30).cast(pa.date32()),
    "decimal": pa.array([Decimal("1.5")] * 30),
    "large": pa.array([2**64 - 1] * 30, pa.uint64()),
    "bool": pa.array([True, False] * 15),
    "half": pa.array(np.zeros(30, np.float16)),
    "infinite": pa.array([float("inf"), float("nan")] * 15),
    "duration": pa.array([1] * 30, pa.duration("ms")),
    "zone": pa.array([datetime(2021, 1, 1)] * 30, pa.timestamp("us", tz="UTC")),
    "text": pa.array(["1e999", "-", "+5", "", "1,5", "5 m"] * 5),
}
GEOMETRIES: dict[str, list[Any]] = {
    "polygon": [box(0.006 * at) for at in range(30)],
    "line": [across(0.006 * at) for at in range(30)],
    "point": [middle(0.00001 * at) for at in range(30)],
    "empty": [shapely.Polygon()] * 30,
    "one place": [shapely.LineString([(9.0, 52.0), (9.0, 52.0)])] * 30,
    "no number": [shapely.Point(math.nan, 52.0)] * 30,
    "world": [shapely.box(-170.0, -80.0, 170.0, 80.0)] * 30,
    "nested": [shapely.GeometryCollection([middle(0.0), shapely.GeometryCollection([box(0.0)])])] * 30,
    "pole": [shapely.box(0.0, 89.0, 90.0, 90.0)] * 30,
    "seam": [shapely.box(179.99, 52.0, 180.01, 52.01)] * 30,
}
CALLED = ["name", "Kunde", "crop", "width", "heading", "rate", "speed", "state", "comment", "time", "type", ""]
CASES = [(shape, column, called) for called in CALLED for column in COLUMNS for shape in GEOMETRIES]


@pytest.mark.filterwarnings("error")
def test_columns_and_shapes_of_every_type_are_read() -> None:
    """Not one raises or warns, and where there is ground there is a field, an area or a loss."""
    for shape, column, called in some(CASES, 97):
        geometry = pa.array(shapely.to_wkb(np.array(GEOMETRIES[shape], dtype=object)), pa.binary())
        raw = RawTable("a", "a.parquet", pa.table([COLUMNS[column], geometry], names=[called, "geometry"]))
        data = plain(with_letters(PlacedLayers("a", "parquet", {"a": raw})))
        if shape in ("polygon", "line"):
            rows = sum(bool(item.boundaries) for item in data.fields) + len(data.guidance) + len(data.lines)
            assert rows + len(data.areas) == 30 or told(data, "kind-set-aside") or told(data, "rates-set-aside")


def test_lines_that_do_not_say_what_they_are_are_told(tmp_path: Path) -> None:
    """A fence says so by its name; what else lies in a layer of lines becomes a flag, and that is said."""
    shapes = [
        shapely.LineString([(7.0, 54.3), (7.0004, 54.3001 + n * 1e-3), (7.0011, 54.3 + n * 1e-3)]) for n in range(3)
    ]
    geopandas.GeoDataFrame({"kind": ["fence", "fence", None]}, geometry=shapes, crs=4326).to_file(tmp_path / "l.gpkg")
    data = taskdata.read(tmp_path / "l.gpkg", roles={"*": "line"})
    kinds = sorted(line.kind.name for field in data.fields for line in field.lines)
    assert kinds == ["FENCE", "FENCE", "FLAG"]
    (told,) = [item for item in data.findings if item.rule.id == "import.line-kind-unknown"]
    assert told.message.endswith(": 1.")
