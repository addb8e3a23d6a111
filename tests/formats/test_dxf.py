"""DXF against shapes known beforehand, and GDAL as writer; group codes are from memory of the DXF reference."""

from __future__ import annotations

import math
import struct
import warnings
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely

import taskdata
from taskdata.errors import SourceError, UsageError
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.detect import detect
from taskdata.formats.drivers.dxf import read_file
from taskdata.formats.read import read

E, N = 500_000.0, 5_990_000.0
Pair = tuple[int, str | float | int]


def entity(kind: str, layer: str, *pairs: Pair) -> list[Pair]:
    return [(0, kind), (8, layer), *pairs]


def at(x: float, y: float, z: float | None = 0.0, end: int = 0) -> list[Pair]:
    return [(10 + end, E + x), (20 + end, N + y), *([] if z is None else [(30 + end, z)])]


LINE = entity("LINE", "AB lines", *at(0.125, 0.5), *at(100, 0, end=1))
SQUARE = [(x, y) for x, y in ((0, 0), (100, 0), (100, 100), (0, 100))]
BOUNDARY = entity("LWPOLYLINE", "Boundary", (90, 4), (70, 1), *(pair for x, y in SQUARE for pair in at(x, y, None)))
DRAIN = [
    *entity("POLYLINE", "Drains", (66, 1), (70, 0)),
    *entity("VERTEX", "Drains", *at(0, 0, 12.0)),
    *entity("VERTEX", "Drains", *at(10, 10, 12.5)),
    (0, "SEQEND"),
]
CIRCLE = entity("CIRCLE", "Pivot", *at(50, 50), (40, 100.0))
ARC = entity("ARC", "Pivot", *at(50, 50), (40, 50.0), (50, 0.0), (51, 90.0))
TEXT = entity("TEXT", "0", *at(50, 50), (40, 2.5), (1, "Kuhle"))
SHEET = entity("LINE", "Frame", (67, 1), *at(0, 0), *at(1, 1, end=1))
ALL = [LINE, BOUNDARY, DRAIN, CIRCLE, ARC, TEXT]


def pairs(entities: Sequence[Sequence[Pair]], unit: int) -> list[Pair]:
    header: list[Pair] = [(0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, unit), (0, "ENDSEC")]
    body = [pair for item in entities for pair in item]
    return [*header, (0, "SECTION"), (2, "ENTITIES"), *body, (0, "ENDSEC"), (0, "EOF")]


def text(entities: Sequence[Sequence[Pair]], unit: int = 6) -> bytes:
    return "".join(f"{code:3d}\n{value}\n" for code, value in pairs(entities, unit)).encode()


def binary(entities: Sequence[Sequence[Pair]], unit: int = 6) -> bytes:
    parts = [b"AutoCAD Binary DXF\r\n\x1a\0"]
    for code, value in pairs(entities, unit):
        packed = struct.pack("<d", value) if isinstance(value, float) else str(value).encode() + b"\0"
        whole = struct.pack("<i" if code == 90 else "<h", value) if isinstance(value, int) else packed
        parts.append(struct.pack("<H", code) + whole)
    return b"".join(parts)


def put(folder: Path, content: bytes) -> Path:
    file = folder / "plan.dxf"
    file.write_bytes(content)
    return file


@pytest.mark.parametrize("make", [text, binary])
def test_entities_are_rows_of_their_layers(make, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    file = put(tmp_path, make(ALL))
    assert detect(file) == detect(tmp_path) == "dxf"
    found = read_file(file)
    assert found.findings == []
    assert list(found.tables) == ["AB lines", "Boundary", "Drains", "Pivot", "plan"]
    shapes = {name: shapely.from_wkb(raw.table[GEOMETRY].to_pylist()) for name, raw in found.tables.items()}
    assert shapes["AB lines"][0].equals_exact(shapely.LineString([(E + 0.125, N + 0.5), (E + 100, N)]))
    assert shapely.get_coordinates(shapes["Boundary"]).tolist() == [[E + x, N + y] for x, y in (*SQUARE, SQUARE[0])]
    assert shapely.get_coordinates(shapes["Drains"], include_z=True)[:, 2].tolist() == [12.0, 12.5]
    assert not any(shapely.has_z(shapes[name]).any() for name in ("AB lines", "Pivot", "plan"))
    circle, arc = shapes["Pivot"]
    assert circle.length == pytest.approx(2 * math.pi * 100, rel=1e-4)
    assert arc.length == pytest.approx(math.pi * 25, rel=1e-4)
    assert found.tables["plan"].table["Text"].to_pylist() == ["Kuhle"]


def test_it_is_placed_by_the_system_that_is_given(tmp_path: Path) -> None:
    """The central meridian of UTM zone 32 is 9 degrees, its false easting 500,000 m."""
    file = put(tmp_path, text([LINE, BOUNDARY]))
    with pytest.raises(UsageError, match="The coordinate reference system of"):
        taskdata.read(file)
    data = taskdata.read(file, crs="EPSG:25832")
    lines = [*(line.points for line in data.guidance), *(line.points for line in data.lines)]
    outlines = [ring for field in data.fields for area in field.boundaries for ring in area.exteriors]
    square = max([*lines, *outlines], key=len)
    assert sorted(len(points) for points in [*lines, *outlines]) == [2, 5]
    assert square[0][0] == pytest.approx(9.0, abs=1e-9)


def test_what_gdal_writes_is_read_with_its_count(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    lines = [shapely.LineString(np.array([E, N]) + rng.uniform(0, 1000, (4, 2))) for _ in range(40)]
    names = np.array(["north", "south"] * 20, dtype=object)
    options = {"driver": "DXF", "geometry_type": "LineString"}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that it has no coordinate reference system
        pyogrio.raw.write(tmp_path / "plan.dxf", shapely.to_wkb(lines), [names], ["Layer"], crs=None, **options)
    tables = read_file(tmp_path / "plan.dxf").tables
    assert {name: raw.table.num_rows for name, raw in tables.items()} == {"north": 20, "south": 20}
    found = [shape for raw in tables.values() for shape in shapely.from_wkb(raw.table[GEOMETRY].to_pylist())]
    wanted = [*lines[0::2], *lines[1::2]]
    assert all(one.equals_exact(other, 1e-6) for one, other in zip(found, wanted, strict=True))


def test_sheets_units_and_a_missing_end_are_told(tmp_path: Path) -> None:
    found = read_file(put(tmp_path, text([LINE, SHEET], unit=4)))
    assert [told.rule.id for told in found.findings] == ["import.drawing-units", "import.value-left-out"]
    assert "millimetres" in found.findings[0].message
    assert list(found.tables) == ["AB lines"]
    assert [told.rule.id for told in read_file(put(tmp_path, binary([LINE], unit=2))).findings] == [
        "import.drawing-units"
    ]
    content = text(ALL)
    found = read_file(put(tmp_path, content[: content.index(b"CIRCLE")]))
    assert [told.rule.id for told in found.findings] == ["import.broken-off"]
    assert list(found.tables) == ["AB lines", "Boundary", "Drains"]


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "it is empty"),
        (b"id,WKT\n1,POINT (7 54)\n", "of another kind"),
        (b"<OGRVRTDataSource><OGRVRTLayer name='a'/></OGRVRTDataSource>", "of another kind"),
        (b"  0\nSECTION\n  2\n", ""),
        (b"AutoCAD Binary DXF\r\n\x1a\0\0", ""),
    ],
)
def test_what_is_none_is_refused_in_a_line(content: bytes, why: str, tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="The DXF file cannot be read") as caught:
        read(put(tmp_path, content))
    assert why in str(caught.value)
    assert "\n" not in str(caught.value)


def test_coordinates_that_are_no_numbers_are_told(tmp_path: Path) -> None:
    broken = text([LINE, DRAIN]).replace(b"500010.0", b"nan")
    found = read_file(put(tmp_path, broken))
    assert sum(raw.table.num_rows for raw in found.tables.values()) == 2
    data = taskdata.read(tmp_path / "plan.dxf", crs="EPSG:25832")
    assert len(data.guidance) == 1
    assert "import.bad-geometry" in {told.rule.id for told in data.findings}
