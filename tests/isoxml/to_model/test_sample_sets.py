"""The model of the sample sets against the same files read by the standard library alone (ElementTree, struct)."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as Xml

import numpy as np
import pytest

from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.model.dataset import Dataset
from taskdata.model.fields import GuidanceKind
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.tasks import TaskStatus

SAMPLES = Path(__file__).parents[3] / "samples"
SOUND = ("office", "machine", "older")
EPOCH = np.datetime64("1980-01-01", "ms")


def folder(name: str) -> Path:
    return SAMPLES / name / "TASKDATA"


@cache
def document(name: str) -> Document:
    found = read_document(folder(name))
    to_dataset(found)
    return found


@cache
def model(name: str) -> Dataset:
    return to_dataset(document(name))


def file_of(name: str, base: str, suffix: str) -> Path:
    """Find a file of the set whatever the case of its name."""
    return next(path for path in folder(name).iterdir() if path.name.upper() == f"{base}.{suffix}")


@cache
def tops(name: str, tag: str) -> list[Xml.Element]:
    """Elements under the roots of the main file and the files it refers to."""
    main = Xml.parse(folder(name) / "TASKDATA.XML").getroot()  # noqa: S314  our own samples
    roots = [main, *(Xml.parse(file_of(name, ref.get("A", ""), "XML")).getroot() for ref in main.iter("XFR"))]  # noqa: S314
    return [item for root in roots for item in root.findall(tag)]


def stored_points(name: str, point: Xml.Element) -> list[tuple[float, float]]:
    """Decode a binary point file: latitude and longitude as int64 in 1e-16 degrees, height int32 where empty."""
    shape = "<qqi" if point.get("E") == "" else "<qq"
    data = file_of(name, point.get("J", ""), "BIN").read_bytes()
    return [(row[1] / 1e16, row[0] / 1e16) for row in struct.iter_unpack(shape, data)]


def course(name: str, line: Xml.Element) -> np.ndarray:
    found: list[tuple[float, float]] = []
    for point in line.findall("PNT"):
        if point.get("J"):
            found += stored_points(name, point)
        else:
            found.append((float(point.get("D", "")), float(point.get("C", ""))))
    return np.array(found)


def same(found: np.ndarray, wanted: np.ndarray) -> bool:
    return found.shape == wanted.shape and bool(np.abs(found - wanted).max() < 1e-13)


def check_area(name: str, area: Area, polygon: Xml.Element) -> None:
    assert int(area.kind) == int(polygon.get("A", ""))
    assert (area.name, area.id) == (polygon.get("B"), polygon.get("E"))
    assert area.declared_area_m2 == (int(polygon.get("C", "")) if polygon.get("C") else None)
    for kind, rings in (("1", area.exteriors), ("2", area.interiors)):
        lines = polygon.findall(f"LSG[@A='{kind}']")
        assert len(rings) == len(lines)
        assert all(same(ring, course(name, line)) for ring, line in zip(rings, lines, strict=True))


@pytest.mark.parametrize("name", SOUND)
def test_nothing_is_found_wrong_with_the_meaning_of_sound_sets(name: str) -> None:
    assert [finding.rule.id for finding in model(name).findings if finding.rule.id.startswith("model.")] == []


@pytest.mark.parametrize("name", SOUND)
def test_fields_are_those_of_the_files(name: str) -> None:
    elements = tops(name, "PFD")
    assert [field.id for field in model(name).fields] == [element.get("A") for element in elements]
    for field, element in zip(model(name).fields, elements, strict=True):
        facts = (field.code, field.name, str(field.declared_area_m2), field.customer, field.farm, field.crop)
        assert facts == tuple(element.get(letter) for letter in "BCDEFG")
        assert (field.variety, field.parent) == (element.get("H"), element.get("I"))
        polygons = element.findall("PLN")
        assert len(field.boundaries) + len(field.areas) == len(polygons)
        assert {area.kind for area in field.boundaries} == {AreaKind.BOUNDARY}
        for area, polygon in zip(field.boundaries, element.findall("PLN[@A='1']"), strict=True):
            check_area(name, area, polygon)
        for area, polygon in zip(field.areas, [item for item in polygons if item.get("A") != "1"], strict=True):
            check_area(name, area, polygon)


@pytest.mark.parametrize("name", SOUND)
def test_lines_and_points_are_those_of_the_files(name: str) -> None:
    for field, element in zip(model(name).fields, tops(name, "PFD"), strict=True):
        for line, item in zip(field.lines, element.findall("LSG"), strict=True):
            assert (str(int(line.kind)), line.name, line.id) == (item.get("A"), item.get("B"), item.get("F"))
            assert line.width_m == (int(item.get("C", "")) / 1000 if item.get("C") else None)
            assert same(line.points, course(name, item))
        for point, item in zip(field.points, element.findall("PNT"), strict=True):
            assert (str(int(point.kind)), point.name, point.id) == (item.get("A"), item.get("B"), item.get("G"))
            assert (point.lon, point.lat) == (float(item.get("D", "")), float(item.get("C", "")))
            assert point.up_m == (int(item.get("E", "")) / 1000 if item.get("E") else None)
            assert point.key is not None


def test_a_binary_point_file_gives_the_boundary() -> None:
    field = next(field for field in model("office").fields if field.id == "PFD5")
    assert len(field.boundaries[0].exteriors[0]) == 3232 // 16


def test_guidance_patterns_carry_their_figures() -> None:
    elements = [item for field in tops("office", "PFD") for item in field.iter("GPN")]
    for line, element in zip(model("office").guidance, elements, strict=True):
        string = element.find("LSG")
        assert string is not None
        assert list(GuidanceKind).index(line.kind) + 1 == int(element.get("C", ""))
        assert line.spacing_m == int(string.get("C", "")) / 1000
        assert same(line.points, course("office", string))
        assert line.heading_deg == (float(element.get("G", "")) if element.get("G") else None)
        assert line.radius_m == (int(element.get("H", "")) / 1000 if element.get("H") else None)
        assert len(line.boundaries) == len(element.findall("PLN"))
    assert [line.radius_m for line in model("office").guidance if line.radius_m] == [120.0]


def test_guidance_lines_without_patterns_are_listed_as_guidance() -> None:
    older = model("older")
    plain = [item for field in tops("older", "PFD") for item in field.findall("LSG[@A='5']")]
    assert [line.name for line in older.guidance] == [item.get("B") for item in plain]
    kinds = [GuidanceKind.AB if len(item.findall("PNT")) == 2 else GuidanceKind.CURVE for item in plain]
    assert [line.kind for line in older.guidance] == kinds
    assert [line.spacing_m for line in older.guidance] == [int(item.get("C", "")) / 1000 for item in plain]
    assert older.fields[0].guidance == ()
    assert {line.key for line in older.guidance} <= {line.key for line in older.lines}


@pytest.mark.parametrize("name", SOUND)
def test_machines_have_offsets_and_widths_of_their_properties(name: str) -> None:
    for machine, device in zip(model(name).machines, tops(name, "DVC"), strict=True):
        values = {item.get("A"): (int(item.get("B", ""), 16), int(item.get("C", ""))) for item in device.iter("DPT")}
        assert [part.id for part in machine.parts] == [item.get("A") for item in device.findall("DET")]
        for part, element in zip(machine.parts, device.findall("DET"), strict=True):
            known = dict(values[ref.get("A")] for ref in element.findall("DOR") if ref.get("A") in values)
            axes = (part.offset_x_m, part.offset_y_m, part.offset_z_m)
            assert axes == tuple(known[ddi] / 1000 if ddi in known else None for ddi in (0x86, 0x87, 0x88))
            width = next((known[ddi] / 1000 for ddi in (0x43, 0x46, 0x44) if ddi in known), None)
            assert part.width_m == width
            assert len(part.quantities) == len(element.findall("DOR"))
            assert (part.object_id, part.parent) == (int(element.get("B", "")), int(element.get("F", "")))


def test_widths_and_connectors_of_the_office_machines() -> None:
    machines = {machine.id: machine for machine in model("office").machines}
    assert {key: item.working_width_m for key, item in machines.items()} == {"DVC1": None, "DVC2": 24.0, "DVC3": 3.0}
    assert [part.name for part in machines["DVC1"].connectors] == ["Dreipunkt hinten"]
    assert len(machines["DVC2"].sections) == 9
    speed = machines["DVC1"].parts[0].quantities[0]
    assert (speed.ddi, speed.name, speed.default_set, speed.settable) == (0x18D, "Geschwindigkeit", True, False)
    assert speed.presentation is not None
    assert (speed.presentation.scale, speed.presentation.unit) == ("0.0036", "km/h")


def test_mixtures_and_workers() -> None:
    products = {product.id: product for product in model("office").products}
    assert {key for key, item in products.items() if item.mixture} == {"PDT5", "PDT6"}
    assert [(part.product, part.amount) for part in products["PDT5"].components] == [("PDT4", 2940000), ("PDT3", 60000)]
    assert (products["PDT3"].quantity_ddi, products["PDT1"].quantity_ddi) == (0x48, 0x4B)
    assert [worker.first_name for worker in model("office").workers] == ["Jördis", "Žofka"]
    assert [farm.customer for farm in model("office").farms] == ["CTR1", "CTR2"]


def test_crops_with_their_varieties() -> None:
    wheat, beans = model("office").crops
    assert (wheat.id, wheat.name, wheat.group) == ("CTP1", "Winterweizen", "PGP1")
    assert [(item.id, item.name, item.product) for item in wheat.varieties] == [
        ("CVT1", "Lindhollen Gold", "PDT1"),
        ("CVT2", "Früher Ährenbrooker", None),
    ]
    assert [item.name for item in beans.varieties] == ["Kuhlenbohne"]


def setpoints(zone: Xml.Element) -> Iterator[tuple[int, int, str | None, str | None]]:
    for outer in zone.findall("PDV"):
        for item in (outer, *outer.findall("PDV")):
            yield int(item.get("A", ""), 16), int(item.get("B", "")), item.get("C"), item.get("D") or outer.get("D")


@pytest.mark.parametrize("name", SOUND)
def test_tasks_with_zones_times_and_allocations(name: str) -> None:
    for task, element in zip(model(name).tasks, tops(name, "TSK"), strict=True):
        assert (task.id, task.name) == (element.get("A"), element.get("B"))
        assert (task.customer, task.farm, task.field, task.worker) == tuple(element.get(key) for key in "CDEF")
        assert task.status is TaskStatus(int(element.get("G", "")))
        codes = tuple(int(element.get(key, "")) if element.get(key) else None for key in "HIJ")
        assert (task.default_zone, task.position_lost_zone, task.out_of_field_zone) == codes
        for zone, item in zip(task.zones, element.findall("TZN"), strict=True):
            assert (str(zone.code), zone.name) == (item.get("A"), item.get("B"))
            assert [(p.ddi, p.value, p.product, p.part) for p in zone.setpoints] == list(setpoints(item))
            for area, polygon in zip(zone.areas, item.findall("PLN"), strict=True):
                check_area(name, area, polygon)
        times = [(int(item.get("D", "")), item.get("A"), item.get("B")) for item in element.findall("TIM")]
        assert [(time.kind, time.start, time.stop) for time in task.times] == times
        for found, tag, key in ((task.machines, "DAN", "C"), (task.products, "PAN", "A"), (task.workers, "WAN", "A")):
            assert list(found) == list(dict.fromkeys(item.get(key) for item in element.findall(tag)))


@pytest.mark.parametrize("name", SOUND)
def test_grids_hold_the_cells_of_their_file(name: str) -> None:
    grids = [task.grid for task in model(name).tasks if task.grid is not None]
    elements = [item for task in tops(name, "TSK") for item in task.findall("GRD")]
    assert elements
    for grid, element in zip(grids, elements, strict=True):
        corner = (grid.min_lat, grid.min_lon, grid.cell_lat, grid.cell_lon)
        assert corner == tuple(float(element.get(key, "")) for key in "ABCD")
        data = file_of(name, grid.file.upper(), "BIN").read_bytes()
        values = list(data) if grid.kind == 1 else [value for (value,) in struct.iter_unpack("<i", data)]
        assert grid.cells is not None
        assert (
            grid.cells.shape[:2] == (grid.rows, grid.columns) == (int(element.get("F", "")), int(element.get("E", "")))
        )
        assert grid.cells.ravel().tolist() == values
        assert grid.kind == 1 or grid.cells.shape[2] == len(grid.setpoints) == 2


def log_lengths(name: str, base: str, head: int) -> list[int]:
    """Walk a time log by hand and return where each record starts, and where the last ends."""
    data = file_of(name, base, "BIN").read_bytes()
    starts = [0]
    while starts[-1] < len(data):
        starts.append(starts[-1] + head + 1 + 5 * data[starts[-1] + head])
    return starts


def test_logs_hold_the_records_of_their_file() -> None:
    sizes = {"PTN.A": 4, "PTN.B": 4, "PTN.C": 4, "PTN.D": 1, "PTN.E": 2, "PTN.F": 2, "PTN.G": 1, "PTN.H": 4, "PTN.I": 2}
    for log in (log for task in model("machine").tasks for log in task.logs):
        header = Xml.parse(file_of("machine", log.file, "XML")).getroot()  # noqa: S314
        position = header.find("PTN")
        assert position is not None
        head = 6 + sum(size for key, size in sizes.items() if position.get(key[-1]) == "")
        starts = log_lengths("machine", log.file, head)
        data = file_of("machine", log.file, "BIN").read_bytes()
        records = log.records
        assert records is not None
        assert len(records.time) == len(starts) - 1
        milliseconds, day, north, east = struct.unpack_from("<IHii", data, starts[-2])
        assert records.time[-1] == EPOCH + np.timedelta64(day * 86_400_000 + milliseconds, "ms")
        assert (records.lat[-1], records.lon[-1]) == pytest.approx((north / 1e7, east / 1e7), abs=1e-12)
        counts = [(end - start - head - 1) // 5 for start, end in pairwise(starts)]
        assert np.bincount(records.value_record, minlength=len(counts)).tolist() == counts
        last = struct.unpack_from("<Bi", data, starts[-1] - 5) if counts[-1] else None
        assert last is None or (int(records.value_index[-1]), int(records.value[-1])) == last
        wanted = [(int(item.get("A", ""), 16), item.get("C")) for item in header.iter("DLV")]
        assert [(item.ddi, item.part) for item in log.quantities] == wanted
        assert set(records.extras) <= {"PDOP", "HDOP", "NumberOfSatellites", "GpsUtcTime", "GpsUtcDate"}


@pytest.mark.parametrize("name", [*SOUND, "broken"])
def test_each_record_knows_its_element(name: str) -> None:
    by_key = {key: element for element, key in document(name).keys.items()}
    data = model(name)
    records = [
        *data.customers,
        *data.farms,
        *data.fields,
        *data.guidance,
        *data.areas,
        *data.lines,
        *data.points,
        *data.machines,
        *(part for machine in data.machines for part in machine.parts),
        *data.products,
        *data.workers,
        *data.crops,
        *(variety for crop in data.crops for variety in crop.varieties),
        *data.tasks,
        *(zone for task in data.tasks for zone in task.zones),
        *(log for task in data.tasks for log in task.logs),
    ]
    assert len(records) > 20
    for record in records:
        element = by_key[record.key]
        assert record.place == element.place()
        assert not hasattr(record, "id") or (record.id or None) == element.id


@pytest.mark.parametrize("name", SOUND)
def test_the_set_itself(name: str) -> None:
    data = model(name)
    root = Xml.parse(folder(name) / "TASKDATA.XML").getroot()  # noqa: S314
    assert data.version == (int(root.get("VersionMajor", "")), int(root.get("VersionMinor", "")))
    assert data.origin == {"1": "FMIS", "2": "MICS"}[root.get("DataTransferOrigin", "")]
    assert data.counts["PFD"] == len(tops(name, "PFD"))
    assert (data.format, data.lossless) == ("isoxml", document(name))


def test_the_broken_set_is_read_to_its_end() -> None:
    data = model("broken")
    assert [field.id for field in data.fields] == ["PFD1", "PFD2", "PFD3", "PFD4"]
    told = [(finding.rule.id, finding.place.element) for finding in data.findings if "model." in finding.rule.id]
    assert told == [("model.unknown-code", "TSK2")]
    missing = next(log for task in data.tasks for log in task.logs if log.file == "TLG00002")
    assert missing.records is None
    short = next(task.grid for task in data.tasks if task.grid is not None)
    assert short.cells is None
