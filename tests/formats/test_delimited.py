"""Delimited text: one table, however it is written; numbers and angles against other ways to compute them."""

from __future__ import annotations

import csv
import io
import math
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

import taskdata
from taskdata.errors import SourceError
from taskdata.file_formats.delimited.angles import Axis, angle, is_packed, meaning_of_o
from taskdata.file_formats.delimited.layout import layout_of
from taskdata.file_formats.delimited.numbers import Notation, notation_of, number, shows_decimal_comma
from taskdata.formats.drivers.delimited import read_file
from tests.samples import OFFICE, SAMPLES

ROWS = [("Nord", 9.4352, 54.1234, 1234.5), ("Süd, am Wald", -9.4, 54.2, 12.25), ("Öst", 9.5, -54.25, 0.0)]


def table_of(rows: list[list[str]], delimiter: str) -> str:
    file = io.StringIO()
    csv.writer(file, delimiter=delimiter, lineterminator="\n").writerows(rows)
    return file.getvalue()


def with_comma(value: float) -> str:
    return repr(value).replace(".", ",")


def grouped(value: float) -> str:
    return f"{value:_.2f}".replace(".", ",").replace("_", ".")


def in_minutes(value: float, letters: str) -> str:
    whole = Decimal(repr(abs(value)))
    degrees = int(whole)
    return f"{degrees}° {(whole - degrees) * 60:.6f}' {letters[value < 0]}"


def in_seconds(value: float, letters: str) -> str:
    whole = Decimal(repr(abs(value)))
    degrees, minutes = int(whole), int((whole - int(whole)) * 60)
    seconds = (whole - degrees - Decimal(minutes) / 60) * 3600
    return f"{letters[value < 0]}{degrees:03d}:{minutes:02d}:{seconds:.5f}"


def packed(value: float) -> str:
    whole = Decimal(repr(abs(value)))
    return f"{int(whole) * 100 + (whole - int(whole)) * 60:011.6f}"


def plain(delimiter: str = ",") -> str:
    head = ["name", "lon", "lat", "amount"]
    return table_of([head, *[[name, repr(x), repr(y), repr(z)] for name, x, y, z in ROWS]], delimiter)


WAYS = {
    "commas": plain().encode(),
    "semicolons": plain(";").encode(),
    "tabs": plain("\t").encode(),
    "bars": plain("|").encode(),
    "UTF-16": plain(";").encode("utf-16"),
    "byte order mark": plain().encode("utf-8-sig"),
    "windows-1252": plain(";").encode("windows-1252"),
    "line ends of two signs": plain(";").replace("\n", "\r\n").encode(),
    "comments before": b"# harvest of the year\n# by hand\n" + plain(";").encode(),
    "a row of units": plain(";").replace("amount\n", "amount\n-;deg;deg;kg/ha\n").encode(),
    "a unit in the name": plain(";").replace("amount", "amount (kg/ha)").encode(),
    "decimal commas": table_of(
        [
            ["name", "Länge", "Breite", "amount"],
            *[[a, with_comma(x), with_comma(y), with_comma(z)] for a, x, y, z in ROWS],
        ],
        ";",
    ).encode(),
    "decimal commas in quotes": table_of(
        [
            ["name", "longitude", "latitude", "amount"],
            *[[a, with_comma(x), with_comma(y), grouped(z)] for a, x, y, z in ROWS],
        ],
        ",",
    ).encode(),
    "degrees and minutes": table_of(
        [
            ["name", "lon", "lat", "amount"],
            *[[a, in_minutes(x, "EW"), in_minutes(y, "NS"), repr(z)] for a, x, y, z in ROWS],
        ],
        ";",
    ).encode(),
    "degrees, minutes and seconds without names": table_of(
        [[a, in_seconds(x, "EW"), in_seconds(y, "NS"), repr(z)] for a, x, y, z in ROWS], ";"
    ).encode(),
    "hemispheres in columns of their own": table_of(
        [
            ["name", "lat", "", "lon", "", "amount"],
            *[[a, packed(y), "NS"[y < 0], packed(x), "EW"[x < 0], repr(z)] for a, x, y, z in ROWS],
        ],
        ",",
    ).encode(),
    "shapes": table_of(
        [["name", "shape", "amount"], *[[a, f"POINT ({x!r} {y!r})", repr(z)] for a, x, y, z in ROWS]], ";"
    ).encode(),
}


@pytest.mark.parametrize("way", WAYS)
def test_one_table_however_it_is_written(tmp_path: Path, way: str) -> None:
    file = tmp_path / "places.csv"
    file.write_bytes(WAYS[way])
    found = read_file(file)
    table = found.tables["places"].table
    names = [name for name in table.column_names if name != "geometry"]
    assert table[names[0]].to_pylist() == [name for name, *_ in ROWS]
    assert table[names[1]].to_pylist() == [amount for *_, amount in ROWS]
    places = shapely.get_coordinates(shapely.from_wkb(table["geometry"].to_pylist()))
    exact = way in {"commas", "semicolons", "decimal commas", "shapes"}
    assert places == pytest.approx(np.array([(x, y) for _, x, y, _ in ROWS]), abs=0.0 if exact else 1e-8)
    assert [finding.rule.id for finding in found.findings] == (["import.letters-guessed"] if "1252" in way else [])


@given(st.decimals(-(10**9), 10**9, places=3))
def test_numbers_in_every_notation(value: Decimal) -> None:
    for notation, text in {
        Notation.POINT: f"{value:f}",
        Notation.COMMA: f"{value:f}".replace(".", ","),
        Notation.POINT_GROUPED: f"{value:,f}",
        Notation.COMMA_GROUPED: f"{value:,f}".translate(str.maketrans(".,", ",.")),
    }.items():
        assert number(text, notation) == float(value)


def test_what_a_number_shows() -> None:
    assert notation_of(["1,5", "2"]) is Notation.COMMA
    assert notation_of(["1.234,5", "2"]) is Notation.COMMA_GROUPED
    assert notation_of(["1,234"]) is Notation.COMMA
    assert notation_of(["1,234"], comma=False) is Notation.POINT_GROUPED
    assert notation_of(["007", "12"]) is None
    assert notation_of(["1,5", "2.5"]) is None
    assert notation_of([" ", ""]) is None
    assert [shows_decimal_comma([text]) for text in ("1,5", "1.5", "1.234,5", "1,234", "15", "x")] == [
        True,
        False,
        True,
        None,
        None,
        None,
    ]


@given(st.floats(-179.999, 179.999), st.sampled_from("'\u2032m: "), st.sampled_from(['"', "''", "\u2033", "s", ""]))
def test_angles_of_parts(value: float, minute: str, second: str) -> None:
    degrees = int(abs(value))
    minutes = int((abs(value) - degrees) * 60)
    seconds = min(round(((abs(value) - degrees) * 60 - minutes) * 60, 4), 59.9999)
    text = f"{degrees}°{minutes}{minute}{max(seconds, 0.0):.4f}{second} {'W' if value < 0 else 'E'}"
    assert angle(text, Axis.LONGITUDE) == pytest.approx(value, abs=1e-7)


@pytest.mark.parametrize(
    ("text", "letter", "why"),
    [
        ("54° 60.0'", None, "60 minutes are more than an angle has"),
        ("91", None, "91 degrees are more than 90"),
        ("-54.1 S", None, "says its hemisphere twice"),
        ("54.5° 30'", None, "only its last part may have decimals"),
        ("54.1 E", None, "is no hemisphere of a latitude"),
        ("north", None, "is not an angle"),
    ],
)
def test_what_is_no_angle_is_told(text: str, letter: str | None, why: str) -> None:
    with pytest.raises(ValueError, match=why.replace(".", r"\.")):
        angle(text, Axis.LATITUDE, letter)


def test_the_letter_o_is_what_the_column_shows() -> None:
    assert meaning_of_o(["9.1 O", "9.2 W"]) == "E"
    assert meaning_of_o(["9.1 O", "9.2 E"]) == "W"
    assert meaning_of_o(["9.1 O"]) is None
    assert angle("9.5 O", Axis.LONGITUDE, o_is="E") == 9.5
    with pytest.raises(ValueError, match="may stand for east or west"):
        angle("9.5 O", Axis.LONGITUDE)


def test_packed_degrees_and_minutes() -> None:
    assert is_packed(["5412.5", "5413.25"], Axis.LATITUDE)
    assert not is_packed(["54.5", "12.25"], Axis.LATITUDE)
    assert not is_packed(["5475.5", "5413.25"], Axis.LATITUDE)
    assert angle("00010.5", Axis.LONGITUDE, "W", packed=True) == -0.175


def test_uneven_rows_are_kept_and_told(tmp_path: Path) -> None:
    file = tmp_path / "uneven.csv"
    file.write_text("lon,lat,name\n9.1,54.1,a\n9.2,54.2\n9.3,54.3,c,rest\n9.4,x,d\n", encoding="utf-8")
    found = read_file(file)
    table = found.tables["uneven"].table
    assert table["name"].to_pylist() == ["a", None, "c", "d"]
    assert [record is None for record in table["geometry"].to_pylist()] == [False, False, False, True]
    assert [(finding.rule.id, finding.place.record) for finding in found.findings] == [
        ("import.value-left-out", 2),
        ("import.bad-geometry", 3),
    ]


def test_a_text_without_columns_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "words.csv"
    file.write_text("Only words\nand no table\n", encoding="utf-8")
    with pytest.raises(SourceError, match="holds no table"):
        taskdata.read(file)
    assert layout_of(b"a,b\n1,2\n").coordinates is None  # type: ignore[union-attr]
    assert layout_of(b"") is None


def test_what_is_written_is_read_by_gdal(tmp_path: Path) -> None:
    """GDAL's CSV driver (gdal.org) reads the same points and shapes."""
    source = taskdata.read(OFFICE)
    taskdata.write(source, tmp_path / "out", to="csv")
    names = {
        "X_POSSIBLE_NAMES": "longitude",
        "Y_POSSIBLE_NAMES": "latitude",
        "GEOM_POSSIBLE_NAMES": "geometry",
        "KEEP_GEOM_COLUMNS": "NO",
    }
    own = taskdata.read(tmp_path / "out")
    assert len(own.fields) == len(source.fields)
    for file in sorted((tmp_path / "out").glob("*.csv")):
        meta, table = pyogrio.raw.read_arrow(file, **names)
        written = read_file(file).tables[file.stem].table
        theirs = shapely.from_wkb(table[meta["geometry_name"] or "wkb_geometry"].to_pylist())
        ours = shapely.from_wkb(written["geometry"].to_pylist())
        drawn = ~shapely.is_missing(ours)
        assert drawn.any()
        assert (shapely.is_missing(theirs) | shapely.is_empty(theirs) == ~drawn).all()
        assert shapely.equals_exact(theirs[drawn], ours[drawn]).all()


def test_what_it_cannot_hold_is_told(tmp_path: Path) -> None:
    result = taskdata.convert(OFFICE, tmp_path / "out", to="csv")
    told = {loss.what: loss.why for loss in result.losses}
    assert "machine DVC1" in told
    assert told["machine DVC1"].endswith("convert to geojson, shapefile, gpkg, parquet or flatgeobuf to keep it")


def drive(notation: str = "%Y-%m-%dT%H:%M:%S", *, step_m: float = 2.0, back: bool = False) -> str:
    start = datetime(2026, 5, 13, 10, 0, 0)
    lines = ["time;lon;lat;speed (km/h);operator"]
    for second in range(60):
        moment = start + timedelta(seconds=-second if back else second)
        lines.append(f"{moment.strftime(notation)};{9.5:.7f};{54.0 + second * step_m / 111_320.0:.9f};7,2;Ilse")
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    "notation", ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M:%S", "%d.%m.%Y %H:%M:%S", "%m/%d/%Y %H:%M:%S", "%Y%m%d%H%M%S"]
)
def test_points_with_times_that_go_on_are_a_log(tmp_path: Path, notation: str) -> None:
    file = tmp_path / "drive.csv"
    file.write_text(drive(notation), encoding="utf-8")
    data = taskdata.read(file)
    (task,) = data.tasks
    records = task.logs[0].records
    assert records is not None
    assert data.fields == ()
    assert records.time[[0, -1]].tolist() == [datetime(2026, 5, 13, 10, 0, 0), datetime(2026, 5, 13, 10, 0, 59)]
    told = {finding.rule.id: finding.message for finding in data.findings}
    assert "go on from row to row (time)" in told["import.points-taken-as-log"]
    assert told["import.log-columns-left-out"].endswith("these columns: speed (km/h), operator.")
    stick = taskdata.convert(file, tmp_path / "stick", to="isoxml", verify=True)
    assert sorted(loss.kind.value for loss in stick.losses) == ["approximated", "dropped"]
    again = taskdata.read(tmp_path / "stick").tasks[0].logs[0].records
    assert again is not None
    assert (again.time == records.time).all()


@pytest.mark.parametrize("text", [drive(back=True), drive(step_m=5000.0), "\n".join(drive().splitlines()[:6])])
def test_other_points_stay_points(tmp_path: Path, text: str) -> None:
    file = tmp_path / "places.csv"
    file.write_text(text, encoding="utf-8")
    data = taskdata.read(file)
    assert data.tasks == ()
    assert len(data.points) == len(text.splitlines()) - 1


@pytest.mark.parametrize("late", ["Gr\xf6\xdfe".encode("windows-1252"), b"a\x8d\x81"])
def test_other_letters_far_into_a_file_are_guessed(tmp_path: Path, late: bytes) -> None:
    file = tmp_path / "late.csv"
    rows = [f"{9.4 + number * 1e-5:.6f},54.1,plain\n".encode() for number in range(5000)]
    file.write_bytes(b"lon,lat,name\n" + b"".join(rows) + b"9.5,54.1," + late + b"\n9.6,54.1\n")
    found = read_file(file)
    names = found.tables["late"].table["name"].to_pylist()
    assert len(names) == 5002
    assert names[-1] is None
    assert names[-2] in {"Gr\u00f6\u00dfe", late.decode("iso-8859-1")}
    assert [finding.rule.id for finding in found.findings] == ["import.letters-guessed"]


@pytest.mark.parametrize("target", ["layers.gpkg", "log.geojson", "layers"])
def test_a_log_comes_back_from_layers_without_a_set_behind_them(tmp_path: Path, target: str) -> None:
    taskdata.convert(SAMPLES / "receiver" / "mowing.nmea", tmp_path / target, to=None if "." in target else "shapefile")
    before = taskdata.read(SAMPLES / "receiver" / "mowing.nmea").tasks[0].logs[0].records
    after = taskdata.read(tmp_path / target).tasks[0].logs[0].records
    assert before is not None
    assert after is not None
    assert (after.time == before.time).all()
    assert (after.lon == before.lon).all()
    assert (after.status == before.status).all()


def spoiled(column: str, *, head: str = "time") -> str:
    return drive().replace("time;", f"{head};").replace("2026-05-13T10:00:30", column)


@pytest.mark.parametrize(
    ("text", "log", "reason"),
    [
        (spoiled("garbage"), True, "1 row without a date and a time"),
        (drive("%H:%M:%S"), False, "a date and a time in one notation"),
        (drive("%m/%d/%Y %I:%M:%S %p"), True, None),
        (drive("%d.%m.%y %H:%M:%S"), True, None),
        (drive("%d %b %Y %H:%M:%S"), True, None),
        (drive(back=True), False, "they do not go on"),
    ],
)
def test_times_that_are_not_understood_are_told(tmp_path: Path, text: str, log: bool, reason: str | None) -> None:
    file = tmp_path / "drive.csv"
    file.write_text(text, encoding="utf-8")
    data = taskdata.read(file)
    assert len(data.tasks) == log
    assert {point.name for point in data.points} <= {None, "Ilse"}
    told = [finding.message for finding in data.findings if finding.rule.id == "import.times-not-understood"]
    assert [reason in message for message in told if reason] == [True] * (reason is not None)
    if log:
        records = data.tasks[0].logs[0].records
        assert records is not None
        assert records.time[0].astype("datetime64[D]") == np.datetime64("2026-05-13")


def test_large_cells_and_line_breaks_in_cells_are_read(tmp_path: Path) -> None:
    ring = ", ".join(f"{9.5 + math.cos(a) / 100} {54.0 + math.sin(a) / 100}" for a in np.linspace(0, 2 * math.pi, 4000))
    rows = [["name", "geometry"], ["two\nlines", f"POLYGON (({ring}))"], ["b" * 200_000, "POINT (9.5 54)"]]
    file = tmp_path / "large.csv"
    file.write_text(table_of(rows, ","), encoding="utf-8", newline="")
    table = read_file(file).tables["large"].table
    assert table["name"].to_pylist() == ["two\nlines", "b" * 200_000]
    assert [len(shapely.get_coordinates(item)) for item in shapely.from_wkb(table["geometry"].to_pylist())] == [4000, 1]


def test_a_table_that_does_not_say_its_coordinates_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "bare.csv"
    file.write_text("54.3,7.0,10:00\n54.4,7.1,10:01\n", encoding="utf-8")
    with pytest.raises(SourceError, match=r"has no coordinates .*Name the columns in the first row"):
        taskdata.read(file)


@pytest.mark.parametrize(
    ("head", "value", "metres"),
    [
        ("name;shape;Arbeitsbreite [cm]", "600", 6.0),
        ("name;shape;Spacing (ft)", "40", 12.192),
        ("name;shape;Largeur\n;;cm", "600", 6.0),
        ("name;shape;width_mm", "6000", 6.0),
        ("name;shape;bredde", "6,5", 6.5),
    ],
)
def test_a_spacing_is_read_in_the_unit_that_the_table_states(
    tmp_path: Path, head: str, value: str, metres: float
) -> None:
    """The foot of 0.3048 m is exact (international yard and pound agreement of 1959)."""
    lines = [head, *(f"Spur {n};LINESTRING (9.43 {54.1 + n / 1000}, 9.44 {54.1 + n / 1000});{value}" for n in range(3))]
    (tmp_path / "guidance.csv").write_text("\n".join(lines) + "\n")
    found = taskdata.read(tmp_path / "guidance.csv", roles={"*": "guidance"}).guidance
    assert [line.spacing_m for line in found] == pytest.approx([metres] * 3)


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("2026-05-13T25:61:61", "2026-05-13T25:61:61"),
        ("2026-02-30T10:00:00", "2026-02-30T10:00:00"),
        ("2026-05-13T10:00:00.123456", datetime(2026, 5, 13, 10, 0, 0, 123000)),  # as it is written
        ("2026-05-13 10:00:00.123456789", datetime(2026, 5, 13, 10, 0, 0, 123000)),
    ],
)
def test_times_that_do_not_exist_are_texts_and_fine_ones_are_cut_to_milliseconds(
    tmp_path: Path, text: str, kept: object
) -> None:
    (tmp_path / "a.csv").write_text(f"lat;lon;when\n54.3;9.5;{text}\n54.3;9.6;{text}\n", encoding="utf-8")
    (raw,) = read_file(tmp_path / "a.csv").tables.values()
    assert raw.table.column("when").to_pylist() == [kept, kept]
