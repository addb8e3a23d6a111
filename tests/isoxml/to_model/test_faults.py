"""Broken objects become findings and the rest is there: small documents, one fault each."""

from __future__ import annotations

import random
import struct
from pathlib import Path

import numpy as np
import pytest

from taskdata.findings import Finding
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.to_model.places import Places
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.model.dataset import Dataset
from taskdata.model.machines import PartKind
from taskdata.model.shapes import AreaKind, LineKind, PointKind

SAMPLES = Path(__file__).parents[3] / "samples"
HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="{}" VersionMinor="0" '
    'ManagementSoftwareManufacturer="Hof" ManagementSoftwareVersion="1" DataTransferOrigin="1">\n'
)
SQUARE = "".join(
    f'<PNT A="2" C="{north}" D="{east}"/>'
    for north, east in (("54.30", "7.00"), ("54.30", "7.01"), ("54.31", "7.01"), ("54.31", "7.00"))
)
RING = f'<LSG A="1">{SQUARE}</LSG>'
GOOD = f'<PFD A="PFD9" C="gut" D="1"><PLN A="1">{RING}</PLN></PFD>'


def document(body: str, major: int = 4, **files: bytes) -> Document:
    main = f"{HEAD.format(major)}{body}\n</ISO11783_TaskData>".encode()
    others = (Blob.of(f"{name}.{'XML' if data.startswith(b'<') else 'BIN'}", data) for name, data in files.items())
    return document_of(FileSet("made", (Blob.of("TASKDATA.XML", main), *others)))


def read(body: str, major: int = 4, **files: bytes) -> Dataset:
    return to_dataset(document(body, major, **files))


def rules(data: Dataset) -> list[str]:
    return [finding.rule.id for finding in data.findings]


def words(finding: Finding) -> str:
    return finding.rule.message.format_map(finding.facts)


def field(inner: str, attributes: str = 'D="1"') -> str:
    return f'<PFD A="PFD1" C="x" {attributes}>{inner}</PFD>{GOOD}'


def test_a_number_that_is_none_counts_as_absent() -> None:
    data = read(field(f'<PLN A="1" C="4,5">{RING}</PLN>', 'D="12 ha"'))
    assert [words(finding) for finding in data.findings] == [
        "PolygonArea of PFD1 (PLN) is not a number: 4,5.",
        "PartfieldArea of PFD1 (PFD) is not a number: 12 ha.",
    ]
    assert data.fields[0].declared_area_m2 is None
    assert data.fields[0].boundaries[0].declared_area_m2 is None
    assert data.findings[1].place.path == "/ISO11783_TaskData/PFD[1]"
    assert data.findings[1].place.line == 3


@pytest.mark.parametrize(
    ("inner", "taken"),
    [
        (f'<PLN A="37">{RING}</PLN>', AreaKind.OTHER),
        (f"<PLN>{RING}{RING}</PLN>", AreaKind.OTHER),
        (f'<LSG A="1">{SQUARE}</LSG>', LineKind.FLAG),
        ('<PNT A="x" C="54" D="7"/>', PointKind.OTHER),
    ],
)
def test_an_unknown_code_is_read_as_the_most_general_kind(inner: str, taken: int) -> None:
    data = read(field(inner))
    assert rules(data) == ["model.unknown-code"]
    found = data.fields[0]
    assert [thing.kind for thing in (*found.areas, *found.lines, *found.points)] == [taken]


def test_a_field_without_identifier_is_kept_with_an_empty_one() -> None:
    data = read(f'<PFD C="x" D="1"/>{GOOD}<FRM B="Hof"/>')
    assert rules(data) == ["model.missing-identifier"] * 2
    assert [item.id for item in data.fields] == ["", "PFD9"]
    assert data.farms[0].name == "Hof"


def test_a_ring_without_points_is_left_out_and_its_neighbours_stay() -> None:
    data = read(field(f'<PLN A="1">{RING}<LSG A="2"/></PLN><PLN A="5" E="PLN7"><LSG A="1"/></PLN><PLN A="5"/>'))
    assert rules(data) == ["model.unreadable-object"] * 4
    assert [words(finding) for finding in data.findings] == [
        "PFD1 (LSG) was left out: it has no readable point.",
        "PLN7 (LSG) was left out: it has no readable point.",
        "PLN7 (PLN) was left out: it has no readable outer ring.",
        "PFD1 (PLN) was left out: it has no readable outer ring.",
    ]
    assert len(data.fields[0].boundaries) == 1
    assert data.fields[0].boundaries[0].interiors == ()
    assert len(data.fields[1].boundaries) == 1


def test_a_line_string_that_is_no_ring_is_no_part_of_a_polygon() -> None:
    data = read(field(f'<PLN A="1">{RING}<LSG A="6">{SQUARE}</LSG></PLN>'))
    assert rules(data) == ["model.unreadable-object"]
    assert "LineStringType" in words(data.findings[0])
    assert len(data.fields[0].boundaries[0].exteriors) == 1


@pytest.mark.parametrize("bad", ["NaN", "54.3O", "", "INF", "54,3,1", "54.3,1", "1e999"])
def test_points_without_a_position_are_left_out_of_their_ring(bad: str) -> None:
    data = read(field(f'<PLN A="1"><LSG A="1">{SQUARE}<PNT A="2" C="{bad}" D="7.0"/></LSG></PLN>'))
    assert [words(finding) for finding in data.findings] == [
        "Points of PFD1 (LSG) without a readable position were left out: 1 of 5."
    ]
    ring = data.fields[0].boundaries[0].exteriors[0]
    assert ring.tolist() == [[7.0, 54.3], [7.01, 54.3], [7.01, 54.31], [7.0, 54.31]]


def test_single_points_without_a_position_are_left_out() -> None:
    data = read(field('<PNT A="1" B="a" D="7"/><PNT A="1" B="b" C="54" D="7"/>'))
    assert rules(data) == ["model.unreadable-object"]
    assert [point.name for point in data.points] == ["b"]


def test_named_points_among_runs_keep_their_order() -> None:
    line = '<LSG A="3"><PNT A="2" C="54" D="1"/><PNT A="2" B="x" C="54" D="2"/><PNT A="2" B="y" C="54" D="3"/>'
    data = read(field(f'{line}<PNT A="2" C="54" D="4"/></LSG>'))
    assert data.lines[0].points[:, 0].tolist() == [1.0, 2.0, 3.0, 4.0]
    assert data.findings == ()


def test_a_pattern_of_unknown_type_is_never_guessed() -> None:
    line = '<LSG A="5" C="3000"><PNT A="6" C="54" D="7"/><PNT A="7" C="54.1" D="7"/></LSG>'
    patterns = f'<GPN A="GPN1" C="9">{line}</GPN><GPN A="GPN2" C="1">{line}</GPN><GPN A="GPN3" C="1"/>'
    data = read(field(f'<GGP A="GGP1">{patterns}</GGP>'))
    assert [line.id for line in data.guidance] == ["GPN2"]
    assert [(finding.rule.id, finding.place.element) for finding in data.findings] == [
        ("model.unreadable-object", "GPN1"),
        ("model.unreadable-object", "GPN3"),
    ]


def test_points_of_a_missing_binary_file_leave_the_line_out() -> None:
    data = read(field('<LSG A="3"><PNT A="2" C="" D="" J="PNT00001"/></LSG>'))
    assert rules(data) == ["model.unreadable-object", "file.missing"]
    assert data.lines == ()


def test_points_of_a_binary_file_stand_by_themselves_outside_a_line() -> None:
    stored = b"".join(struct.pack("<qq", round(54.3e16), round(east * 1e16)) for east in (7.0, -7.25))
    data = read(field('<PNT A="5" C="" D="" J="PNT00001"/>'), PNT00001=stored)
    assert [(point.lon, point.lat, point.kind) for point in data.points] == [
        (7.0, 54.3, PointKind.OBSTACLE),
        (-7.25, 54.3, PointKind.OBSTACLE),
    ]


def test_type_height_and_colour_of_points_may_stand_in_their_binary_file() -> None:
    """8.6.4: what the element leaves empty is a field of every record; all bits set = not available."""
    rows = ((5, 7.0, 42_200, 3), (1, -7.25, -1, 255), (77, 8.0, 0, 0))
    stored = b"".join(
        struct.pack("<BqqiB", kind, round(54.3e16), round(east * 1e16), *rest) for kind, east, *rest in rows
    )
    data = read(field('<PNT A="" C="" D="" E="" F="" J="PNT00001"/>'), PNT00001=stored)
    assert [(point.kind, point.lon, point.up_m, point.colour) for point in data.points] == [
        (PointKind.OBSTACLE, 7.0, 42.2, 3),
        (PointKind.FLAG, -7.25, None, None),
        (PointKind.OTHER, 8.0, 0.0, 0),
    ]
    assert [(finding.rule.id, finding.facts["text"]) for finding in data.findings] == [("model.unknown-code", "77")]


def test_parts_without_numbers_are_left_out_of_their_machine() -> None:
    parts = '<DET A="DET1" B="1" C="1" E="0" F="0"/><DET A="DET2" B="two" C="4" E="1" F="1"/>'
    data = read(f'<DVC A="DVC1">{parts}<DET A="DET3" B="3" C="12" E="2" F="1"/><DPT A="4" B="XX" C="1"/></DVC>{GOOD}')
    assert [(part.id, part.kind) for part in data.machines[0].parts] == [
        ("DET1", PartKind.DEVICE),
        ("DET3", PartKind.UNIT),
    ]
    assert sorted(rules(data)) == ["model.unknown-code", "model.unreadable-object", "model.unreadable-object"]


def test_sections_side_by_side_are_as_wide_as_all_of_them() -> None:
    sections = "".join(f'<DET A="DET{n}" B="{n}" C="4" E="{n}" F="1"><DOR A="9"/></DET>' for n in (2, 3, 4))
    data = read(f'<DVC A="DVC1"><DET A="DET1" B="1" C="1" E="0" F="0"/>{sections}<DPT A="9" B="0043" C="3000"/></DVC>')
    assert data.machines[0].working_width_m == 9.0
    assert {part.width_m for part in data.machines[0].sections} == {3.0}


@pytest.mark.parametrize(
    ("given", "wanted"),
    [({67: 1000, 70: 2000, 68: 3000}, 1.0), ({70: 2000, 68: 3000}, 2.0), ({68: 3000}, 3.0), ({66: 5000}, None)],
)
def test_the_width_of_a_section_is_actual_then_maximum_then_default(given: dict[int, int], wanted: float) -> None:
    """ISO 11783-10 F.3.5: actual working width, else the maximum, else the default."""
    references = "".join(f'<DOR A="{ddi}"/>' for ddi in given)
    properties = "".join(f'<DPT A="{ddi}" B="{ddi:04X}" C="{value}"/>' for ddi, value in given.items())
    data = read(f'<DVC A="DVC1"><DET A="DET1" B="1" C="4" E="0" F="0">{references}</DET>{properties}</DVC>')
    assert data.machines[0].parts[0].width_m == wanted


def test_setpoints_and_zones_that_cannot_be_read() -> None:
    zones = '<TZN A="1"><PDV A="0001" B="5"/><PDV A="G1" B="5"/><PDV A="0001" B="5.5"/></TZN><TZN/><TZN A="2"/>'
    data = read(f'<TSK A="TSK1" G="1">{zones}</TSK>{GOOD}')
    assert [(zone.code, len(zone.setpoints)) for zone in data.tasks[0].zones] == [(1, 1), (2, 0)]
    assert rules(data) == ["model.unreadable-object"] * 3
    assert words(data.findings[-1]) == "TSK1 (TZN) was left out: it has no TreatmentZoneCode."


GRID = '<GRD A="54" B="7" C="0.001" D="0.001" E="{columns}" F="2" G="GRD00001" I="{kind}" J="1"/>'


def test_the_template_zone_of_a_grid_needs_no_values() -> None:
    zone = '<TZN A="1"><PDV A="0006" B="" C="PDT1"/><PDV A="0001" D="DET1"/></TZN>'
    cells = np.arange(8, dtype="<i4")
    body = f'<TSK A="TSK1" G="1">{zone}{GRID.format(columns=2, kind=2)}</TSK>'
    data = read(body, GRD00001=cells.tobytes())
    grid = data.tasks[0].grid
    assert grid is not None
    assert [(item.ddi, item.value, item.product, item.part) for item in grid.setpoints] == [
        (6, 0, "PDT1", None),
        (1, 0, None, "DET1"),
    ]
    assert grid.cells is not None
    assert grid.cells[1, 0].tolist() == [4, 5]
    assert data.findings == ()


def test_a_grid_whose_file_is_missing_or_short_has_no_cells() -> None:
    body = f'<TSK A="TSK1" G="1"><TZN A="1"/>{GRID.format(columns=3, kind=1)}</TSK>'
    for files, told in (({}, "file.missing"), ({"GRD00001": b"\x01\x01\x01"}, "grid.wrong-size")):
        data = read(body, **files)
        assert data.tasks[0].grid is not None
        assert data.tasks[0].grid.cells is None
        assert rules(data) == [told]
        assert [(item.file, item.what) for item in data.unread] == [("GRD00001.BIN", "grid of TSK1")]


@pytest.mark.parametrize(("columns", "kind"), [("x", 1), ("-3", 1), ("3", 7)])
def test_a_grid_that_cannot_be_laid_out_is_left_out(columns: str, kind: int) -> None:
    data = read(f'<TSK A="TSK1" G="1">{GRID.format(columns=columns, kind=kind)}</TSK>{GOOD}')
    assert data.tasks[0].grid is None
    assert rules(data) == ["model.unreadable-object", "file.missing"]


HEADER = b'<TIM A="" D="4"><PTN A="" B="" D="4"/><DLV A="0043" B="" C="DET1"/><DLV A="0001" B="7" C="DET2"/></TIM>'


def log_bytes() -> bytes:
    """Two records: one with a value, one with a value that the header does not list."""
    first = struct.pack("<IHii", 1000, 1, 543000000, 70000000) + struct.pack("<BBi", 1, 0, 3000)
    return first + struct.pack("<IHii", 2500, 1, -1, -1) + struct.pack("<BBi", 1, 9, 1)


def test_a_log_with_constants_and_stray_values() -> None:
    data = document('<TSK A="TSK1" G="4"><TLG A="TLG00001" C="1"/></TSK>')
    parts = (Blob.of("TLG00001.XML", HEADER), Blob.of("TLG00001.BIN", log_bytes()))
    main = Blob.of(
        "TASKDATA.XML",
        f'{HEAD.format(4)}<TSK A="TSK1" G="4"><TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>'.encode(),
    )
    log = to_dataset(document_of(FileSet("made", (main, *parts)))).tasks[0].logs[0]
    assert [(item.ddi, item.part) for item in log.quantities] == [(67, "DET1"), (1, "DET2")]
    records = log.records
    assert records is not None
    assert records.time.tolist() == [
        np.datetime64("1980-01-02T00:00:01", "ms").item(),
        np.datetime64("1980-01-02T00:00:02.500", "ms").item(),
    ]
    assert records.lon[0] == 7.0
    assert np.isnan(records.lon[1])
    assert records.status is not None
    assert records.status.tolist() == [4, 4]
    assert records.up_m is None
    triples = zip(records.value_record.tolist(), records.value_index.tolist(), records.value.tolist(), strict=True)
    assert sorted(triples) == [(0, 0, 3000), (0, 1, 7), (1, 1, 7)]
    assert to_dataset(data).tasks[0].logs[0].records is None


def test_loose_points_become_elements_and_nothing_else_changes() -> None:
    body = field(f'<PNT A="1" C="54.10" D="7.0"/>\n<PNT A="2" C="54.2" D="-7.50"/><PLN A="1">{RING}</PLN>')
    before = document(body)
    owner = before.root.children[0]
    assert isinstance(owner, Element)
    run = owner.children[0]
    assert isinstance(run, PointRun)
    texts, lines, counts = list(run.rows()), [run.line(0), run.line(1)], before.counts()
    before.expand_loose_points()
    points = list(owner.elements("PNT"))
    assert (
        [point.attributes for point in points]
        == texts
        == [
            {"A": "1", "C": "54.10", "D": "7.0"},
            {"A": "2", "C": "54.2", "D": "-7.50"},
        ]
    )
    assert [point.line for point in points] == lines == [3, 4]
    assert [point.path() for point in points] == [f"/ISO11783_TaskData/PFD[1]/PNT[{n}]" for n in (1, 2)]
    assert before.counts() == counts
    ring = before.by_tag["LSG"][0]
    assert isinstance(ring.children[0], PointRun)
    assert len({before.keys[point] for point in points}) == 2


@pytest.mark.parametrize("name", ["office", "machine", "older", "broken"])
def test_places_are_those_that_each_element_gives(name: str) -> None:
    found = read_document(SAMPLES / name / "TASKDATA")
    places = Places()
    for file in found.xml_files:
        for element in file.root.walk():
            assert places.of(element) == element.place()


JUNK = ("", "x", "NaN", "-1", "99999999999999999999", "1e5", "٣", "0", "4.5", "ZZZZ", " 7 ")


@pytest.mark.parametrize("seed", range(12))
def test_no_junk_in_attributes_makes_reading_fail(seed: int) -> None:
    dice = random.Random(seed)  # noqa: S311  a test needs no secrets
    found = read_document(SAMPLES / ("machine" if seed % 2 else "older") / "TASKDATA")
    for element in [item for file in found.xml_files for item in file.root.walk()]:
        for letter in list(element.attributes):
            if dice.random() < 0.1:
                element.attributes[letter] = dice.choice(JUNK)
    data = to_dataset(found)
    for task in data.tasks:
        _ = task.grid is None or task.grid.cells
        for log in task.logs:
            assert log.records is None or len(log.records.time) == len(log.records.lon)
    assert len(data.fields) == len(found.top("PFD"))
    assert len(data.tasks) == len(found.top("TSK"))
