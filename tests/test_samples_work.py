"""Machines, grids, logs and shapefiles of the samples hold what they are there for."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import pytest
import shapefile
from geographiclib.geodesic import Geodesic

from tests import samples as paths
from tests.sample_reading import Element, document, elements, get, get_id, places, read_log

SETS = [pytest.param(folder, id=folder.parent.name) for folder in paths.SOUND]
STICKS = [pytest.param(folder, id=folder.parent.name) for folder in paths.STICKS]
KEYS = {
    "DET": "DeviceElementObjectId",
    "DPD": "DeviceProcessDataObjectId",
    "DPT": "DevicePropertyObjectId",
    "DVP": "DeviceValuePresentationObjectId",
}
DDIS = {"DPD": "DeviceProcessDataDDI", "DPT": "DevicePropertyDDI"}


@pytest.mark.parametrize("folder", [*SETS, *STICKS])
def test_object_ids_of_each_device_hold_together(folder: Path) -> None:
    machines = [node for node in document(folder) if node.tag == "DVC"]
    assert machines
    for machine in machines:
        parts = machine.findall("DET")
        objects = [get(node, KEYS[node.tag]) for node in machine]
        assert len(set(objects)) == len(objects)
        elements = {get(part, "DeviceElementObjectId") for part in parts}
        roots = [part for part in parts if get(part, "DeviceElementType") == "1"]
        assert [get(part, "ParentObjectId") for part in roots] == ["0"]
        assert all(get(part, "ParentObjectId") in elements for part in parts if part is not roots[0])
        data = {get(node, KEYS[node.tag]) for tag in DDIS for node in machine.findall(tag)}
        used = [get(ref, "DeviceObjectId") for part in parts for ref in part.findall("DOR")]
        assert set(used) == data
        shown = {get(node, KEYS["DVP"]) for node in machine.findall("DVP")}
        named = {get(node, KEYS["DVP"]) for tag in DDIS for node in machine.findall(tag)} - {None}
        assert named <= shown


def _offers(machine: Element) -> Iterator[tuple[str, int, dict[int, Element]]]:
    """Yield type, parent and offered DDIs of every device element; one DDI is offered once (clause 8.7)."""
    objects = {get(node, KEYS[node.tag]): node for tag in DDIS for node in machine.findall(tag)}
    for part in machine.findall("DET"):
        nodes = [objects[get(ref, "DeviceObjectId")] for ref in part.findall("DOR")]
        offered = {int(str(get(node, DDIS[node.tag])), 16): node for node in nodes}
        assert len(offered) == len(nodes)
        yield str(get(part, "DeviceElementType")), int(str(get(part, "ParentObjectId"))), offered


@pytest.mark.parametrize("folder", [*SETS, *STICKS])
def test_devices_give_the_geometry_and_states_that_the_standard_asks_for(folder: Path) -> None:
    # ISO 11783-10:2015, 6.8.4, A.3 and F.3.4: numbers of the data dictionary as in ISO 11783-11.
    for machine in (node for node in document(folder) if node.tag == "DVC"):
        for kind, _, offered in _offers(machine):
            if kind == "1":
                assert {119, 0xDFFF} <= set(offered)
                assert get(offered[0xDFFF], "DeviceProcessDataTriggerMethods") == "31"
            if kind in {"6", "7"}:
                assert {134, 135, 136} <= set(offered)
            if kind == "2":
                assert {134, 135, 70, 141} <= set(offered)
                assert 290 not in offered or {158, 160, 161} <= set(offered)
            if kind == "4":
                assert 141 not in offered
                assert 135 in offered
                assert {67, 70} & set(offered)


@pytest.mark.parametrize("folder", [pytest.param(paths.OFFICE, id="office"), pytest.param(paths.MACHINE, id="machine")])
def test_sections_of_a_boom_lie_side_by_side_over_its_width(folder: Path) -> None:
    booms = 0
    for machine in (node for node in document(folder) if node.tag == "DVC"):
        offers = list(_offers(machine))
        sections = [offered for kind, _, offered in offers if kind == "4"]
        for _, _, boom in (item for item in offers if item[0] == "2"):
            booms += 1
            spans = []
            for offered in sections:
                middle, width = _fixed(offered[135]), _fixed(offered.get(67, offered.get(70)))
                spans.append((middle - width / 2, middle + width / 2))
            half = _fixed(boom[70]) / 2
            assert [-half, *(right for _, right in spans)] == [*(left for left, _ in spans), half]
    assert booms == 2


def _fixed(node: Element | None) -> int:
    assert node is not None
    return int(str(get(node, "DevicePropertyValue")))


@pytest.mark.parametrize("folder", SETS)
def test_areas_are_those_on_the_ellipsoid(folder: Path) -> None:
    # geographiclib computes geodesic polygon areas (Karney 2013, Algorithms for geodesics).
    fields = [node for node in document(folder) if node.tag == "PFD"]
    assert len(fields) >= 3
    for field in fields:
        rings = [line for shape in field.findall("PLN") if get(shape, "PolygonType") == "1" for line in shape]
        total = sum(_area(line, folder) * (1 if get(line, "LineStringType") == "1" else -1) for line in rings)
        assert float(str(get(field, "PartfieldArea"))) == pytest.approx(total, rel=1e-5, abs=1.5)


def _area(line: Element, folder: Path) -> float:
    polygon = Geodesic.WGS84.Polygon()
    for latitude, longitude in places(line, folder):
        polygon.AddPoint(latitude, longitude)
    return abs(polygon.Compute()[2])


@pytest.mark.parametrize("folder", SETS)
def test_grids_fit_their_columns_rows_and_zones(folder: Path) -> None:
    tasks = [node for node in document(folder) if node.find("GRD") is not None]
    assert tasks
    for task in tasks:
        grid = task.find("GRD")
        assert grid is not None
        path = next(item for item in folder.iterdir() if item.name.upper() == f"{get(grid, 'Filename')}.BIN")
        cells = int(str(get(grid, "GridMaximumColumn"))) * int(str(get(grid, "GridMaximumRow")))
        zones = {get(zone, "TreatmentZoneCode"): zone for zone in task.findall("TZN")}
        if get(grid, "GridType") == "1":
            assert len(path.read_bytes()) == cells
            assert {str(code) for code in path.read_bytes()} <= set(zones)
        else:
            template = zones[get(grid, "TreatmentZoneCode")]
            assert path.stat().st_size == 4 * cells * len(template.findall("PDV"))


@pytest.mark.parametrize("folder", [pytest.param(paths.MACHINE, id="machine"), pytest.param(paths.OLDER, id="older")])
def test_time_logs_read_to_the_last_byte_and_run_forward(folder: Path) -> None:
    ids = {get(node, "DeviceElementId") for _, node in elements(folder) if node.tag == "DET"}
    total = 0
    for _, log in elements(folder):
        if log.tag != "TLG":
            continue
        records, header = read_log(folder, str(get(log, "Filename")))
        values = header.findall("DLV")
        assert {get(node, "DeviceElementIdRef") for node in values} <= ids
        times = [(raw["TimeStartDate"], raw["TimeStartTimeOfDay"]) for raw, _ in records]
        assert all(one < two for one, two in itertools.pairwise(times))
        assert max(index for _, changed in records for index in changed) < len(values)
        assert all(53 < raw["PositionNorth"] / 1e7 < 55 for raw, _ in records if raw["PositionNorth"] != -1)
        total += len(records)
    assert total > (20_000 if folder == paths.MACHINE else 500)


def test_spraying_is_logged_with_its_sections_rates_and_a_lost_position() -> None:
    records, header = read_log(paths.MACHINE, "TLG00001")
    ddis = [get(node, "ProcessDataDDI") for node in header.findall("DLV")]
    condensed, rate, width = ddis.index("00A1"), ddis.index("0002"), ddis.index("0043")
    assert len(records[0][0]) == 11
    assert sum(raw["PositionNorth"] == -1 for raw, _ in records) == 210
    states = {changed[condensed] & 0xFFFFFFFF for _, changed in records if condensed in changed}
    assert all(state >> 18 == 0b11111111111111 for state in states)
    assert {0xFFFC0000, 0xFFFD5555} <= states
    assert {24_000, 0} <= {changed[width] for _, changed in records if width in changed}
    rates = {changed[rate] for _, changed in records if rate in changed}
    assert min(rates) == 0
    assert 2_300_000 < max(rates) < 2_500_000


def test_totals_of_the_task_agree_with_the_log() -> None:
    records, header = read_log(paths.MACHINE, "TLG00001")
    ddis = [get(node, "ProcessDataDDI") for node in header.findall("DLV")]
    area = max(changed[ddis.index("0074")] for _, changed in records if ddis.index("0074") in changed)
    task = next(node for node in document(paths.MACHINE) if get_id(node) == "TSK1")
    last = max(
        (time for time in task.findall("TIM") if time.find("DLV") is not None),
        key=lambda time: str(get(time, "Start")),
    )
    totals = {get(node, "ProcessDataDDI"): int(str(get(node, "ProcessDataValue"))) for node in last.findall("DLV")}
    field = next(node for node in document(paths.MACHINE) if get_id(node) == "PFD1")
    assert totals["0074"] == pytest.approx(area, abs=600)
    assert totals["0074"] == pytest.approx(float(str(get(field, "PartfieldArea"))), rel=0.03)
    assert {"0050", "0075", "0076", "0077", "0078"} < set(totals)


@pytest.mark.parametrize(
    ("stem", "suffixes", "encoding", "kind", "count"),
    [
        ("BOUNDARY", ("SHP", "SHX", "DBF"), "cp1252", shapefile.POLYGON, 5),
        ("Lines_AB", ("shp", "shx", "dbf"), "utf-8", shapefile.POLYLINE, 4),
        ("flags", ("Shp", "Shx", "Dbf"), "cp1252", shapefile.POINT, 4),
        ("Obst_old", ("shp", "shx", "dbf"), "cp1252", shapefile.POLYGON, 2),
    ],
)
def test_shapefiles_read_with_an_independent_reader(
    stem: str, suffixes: tuple[str, ...], encoding: str, kind: int, count: int
) -> None:
    streams = [(paths.DISPLAY / f"{stem}.{suffix}").open("rb") for suffix in suffixes]
    main, index, table = streams
    with main, index, table, shapefile.Reader(shp=main, shx=index, dbf=table, encoding=encoding) as reader:
        assert (reader.shapeType, len(reader)) == (kind, count)
        shapes = reader.shapes()
        places = [place for shape in shapes for place in getattr(shape, "points", [])]
        assert all(369_000 < east < 371_000 and 6_018_000 < north < 6_020_000 for east, north in places)
        dates = [field[0] for field in reader.fields if field[1] == "D"]
        assert dates or stem == "Obst_old"
        if stem == "BOUNDARY":
            assert [shape.shapeType for shape in shapes].count(shapefile.NULL) == 1
            assert reader.record(0)["FLD_NM"] == "Große Breite"
            assert len(shapes[1].__geo_interface__["coordinates"]) == 2
            assert shapes[2].__geo_interface__["type"] == "MultiPolygon"
