"""What is missing or misplaced and can be one thing only is read so, and a safe repair writes it so."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

import pytest

from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.isoxml.files.set_files import Blob, FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.writing.write import named_files, xml_bytes
from taskdata.model.dataset import Dataset
from taskdata.repairs.linklist.written_uuid import plain_uuid
from taskdata.repairs.run import clean

ROOT = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="3" '
    'ManagementSoftwareManufacturer="Hof Ahrenbrook" ManagementSoftwareVersion="1" DataTransferOrigin="1">'
    "{}</ISO11783_TaskData>"
)
POINTS = "".join(
    f'<PNT A="2" C="{north}" D="{east}"/>'
    for north, east in ((54.3, 7.0), (54.3, 7.0015), (54.3009, 7.0015), (54.3009, 7.0), (54.3, 7.0))
)
RING = f'<LSG A="1">{POINTS}</LSG>'
UNTYPED = f"<LSG>{POINTS}</LSG>"
AB = '<LSG{}><PNT C="54.3" D="7.0"/><PNT C="54.3009" D="7.0"/></LSG>'
ZONE = '<TZN A="1"><PDV A="0006" B="{}"/></TZN>'
GRID = '<GRD A="54.3" B="7" C="0.0001" D="0.0001" E="3" F="2" G="GRD00001"{}/>'


def read(body: str, **files: bytes) -> Document:
    blobs = [Blob.of("TASKDATA.XML", ROOT.format(body).encode())]
    blobs += [Blob.of(name.replace("_", "."), content) for name, content in files.items()]
    return document_of(FileSet("set", tuple(blobs), "TASKDATA"))


def again(document: Document) -> Document:
    files = named_files(document)
    blobs = [Blob.of(name, xml_bytes(item) if isinstance(item, XmlFile) else item.read()) for name, item in files]
    return document_of(FileSet("set", tuple(blobs), "TASKDATA"))


def field(body: str) -> str:
    return f'<PFD A="PFD1" C="Kuhle" D="0">{body}</PFD>'


def boundaries(data: Dataset) -> object:
    return [area.exteriors[0].tolist() for area in data.fields[0].boundaries]


def lines(data: Dataset) -> object:
    return [(line.kind, line.points.tolist()) for group in data.fields[0].groups for line in group.lines]


def cells(data: Dataset) -> object:
    grid = data.tasks[0].grid
    return None if grid is None or grid.cells is None else (grid.kind, grid.cells.tolist())


def zones(data: Dataset) -> object:
    return [(area.kind, area.exteriors[0].tolist()) for zone in data.tasks[0].zones for area in zone.areas]


TASK = '<TSK A="TSK1" G="1">{}</TSK>'
ONE_MEANING: dict[str, tuple[Callable[[Dataset], object], str, dict[str, bytes]]] = {
    "the only polygon of a field": (boundaries, field(f"<PLN>{RING}</PLN>"), {}),
    "the only line of a polygon": (boundaries, field(f'<PLN A="1">{UNTYPED}</PLN>'), {}),
    "neither has a type": (boundaries, field(f"<PLN>{UNTYPED}</PLN>"), {}),
    "points right under a polygon": (boundaries, field(f'<PLN A="1">{POINTS}</PLN>'), {}),
    "points right under the only polygon": (boundaries, field(f"<PLN>{POINTS}</PLN>"), {}),
    "a polygon of a zone": (zones, TASK.format(f'<TZN A="1"><PLN>{RING}</PLN><PDV A="0006" B="0"/></TZN>'), {}),
    "a pattern without a group": (
        lines,
        field(f'<GPN A="GPN1" C="1">{AB.format(" A=" + chr(34) + "5" + chr(34))}</GPN>'),
        {},
    ),
    "a line and its points without types": (
        lines,
        field(f'<GGP A="GGP1"><GPN A="GPN1" C="1">{AB.format("")}</GPN></GGP>'),
        {},
    ),
    "a grid of codes": (cells, TASK.format(ZONE.format(0) + GRID.format("")), {"GRD00001_BIN": bytes([1] * 6)}),
    "a grid of setpoints": (
        cells,
        TASK.format(ZONE.format("") + GRID.format(' J="1"')),
        {"GRD00001_BIN": bytes(range(24))},
    ),
}


@pytest.mark.parametrize("name", ONE_MEANING)
def test_what_can_be_one_thing_is_read_told_and_repaired(name: str) -> None:
    meaning, body, files = ONE_MEANING[name]
    document = read(body, **files)
    data = to_dataset(document)
    found = meaning(data)
    assert found
    assert data.findings == ()
    told = [item for item in run(Subject(document, data)) if item.rule.id.startswith("schema.")]
    assert told
    assert all(item.place.line for item in told)
    cleaned, changes, _ = clean(document)
    assert {str(change.standing) for change in changes} == {"safe"}
    written = again(cleaned)
    assert meaning(to_dataset(written)) == found
    left = [item.rule.id for item in run(Subject(written, to_dataset(written)))]
    assert not [rule for rule in left if rule.startswith(("schema.", "model."))]
    assert clean(written)[1] == ()


TWO_MEANINGS = {
    "two polygons": field(f"<PLN>{RING}</PLN><PLN>{RING}</PLN>"),
    "a polygon beside the boundary": field(f'<PLN A="1">{RING}</PLN><PLN>{RING}</PLN>'),
    "two outer rings": field(f"<PLN>{RING}{RING}</PLN>"),
    "two lines without a type": field(f'<PLN A="1">{UNTYPED}{UNTYPED}</PLN>'),
    "points beside a ring": field(f'<PLN A="1">{RING}{POINTS}</PLN>'),
    "a line of a field": field(UNTYPED),
}


@pytest.mark.parametrize("name", TWO_MEANINGS)
def test_what_can_be_two_things_is_left_and_told(name: str) -> None:
    document = read(TWO_MEANINGS[name])
    found = [item.rule.id for item in run(Subject(document, to_dataset(document)))]
    assert [rule for rule in found if rule.startswith("schema.")]
    _, changes, _ = clean(document, only=["schema"])
    assert changes == ()


@pytest.mark.parametrize("octets", [5, 7, 12, 24])
def test_a_grid_whose_file_decides_nothing_is_left(octets: int) -> None:
    document = read(TASK.format(ZONE.format(0) + GRID.format("")), GRD00001_BIN=bytes(octets))
    assert clean(document, only=["schema"])[1] == ()


def test_empty_values_go_and_those_with_a_meaning_stay() -> None:
    body = field(f'<PLN A="1" C="" D="">{RING}</PLN>') + '<CTR A="CTR1" B="Tannendahl" C=""/>'
    cleaned, changes, _ = clean(read(body))
    assert [(change.rule, change.before, change.after) for change in changes] == [
        ("schema.invalid-value", "", None)
    ] * 2
    assert cleaned.by_tag["PLN"][0].attributes == {"A": "1"}


def test_a_logged_value_without_its_empty_text_is_stored_in_the_records() -> None:
    header = b'<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="0006"/></TIM>'
    document = read(TASK.format('<TLG A="TLG00001"/>'), TLG00001_XML=header, TLG00001_BIN=b"")
    cleaned, *_ = clean(document, only=["schema"])
    header_file = cleaned.header("TLG00001")
    assert header_file is not None
    assert next(header_file.root.elements("DLV")).attributes == {"A": "0006", "B": ""}
    assert next(header_file.root.elements("PTN")).attributes == {"A": "", "B": "", "D": ""}


def test_an_external_file_has_its_own_root() -> None:
    external = ROOT.format('<CTR A="CTR1" B="Tannendahl"/>').encode()
    document = read('<XFR A="CTR00001" B="1"/>', CTR00001_XML=external)
    assert [item.id for item in to_dataset(document).customers] == ["CTR1"]
    cleaned, *_ = clean(document, only=["schema"])
    written = again(cleaned)
    assert written.xml_files[1].root.tag == "XFC"
    assert run(Subject(written, to_dataset(written))) == []


@pytest.mark.parametrize("form", ["{{{}}}", "urn:uuid:{}", "URN:UUID:{}", " {} ", "({})"])
def test_another_form_of_a_uuid_is_the_same(form: str) -> None:
    """RFC 4122, 3: the prefix is urn:uuid:, and letters of either case are the same."""
    known = "3f2b8a1c-9d4e-4c7a-8b21-0a1b2c3d4e5f"
    assert plain_uuid(form.format(known)) == known
    assert plain_uuid(UUID(known).hex) == known
    assert plain_uuid("no UUID") == "no UUID"
