"""A cut or damaged XML file gives what stands before the cut, and nothing that stands there in part is made up.

What is right is told by lxml's recovering parser (libxml2), which is independent of expat, on the same bytes.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

import taskdata
from taskdata.errors import SourceError
from taskdata.findings import Finding
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.reading.rescue import rescued
from tests.samples import MACHINE, OFFICE

WHOLE = (MACHINE / "TASKDATA.XML").read_bytes()
FIRST = WHOLE.index(b"<AFE")
ROOT = '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1">'
HEAD = f'<?xml version="1.0" encoding="UTF-8"?>\n{ROOT}'
NAMELESS = {"PNT", "LSG", "PLN", "TIM", "AFE", "GRD"}


def told(findings: list[Finding]) -> Finding:
    (found,) = [item for item in findings if item.rule.id == "file.cut-off"]
    assert found.severity == "error"
    return found


def of(content: bytes, **others: bytes) -> FileSet:
    files = {"TASKDATA.XML": content} | {name.replace("__", "."): item for name, item in others.items()}
    return FileSet("x", tuple(Blob.of(*file) for file in files.items()), "TASKDATA")


def started(content: bytes) -> set[str]:
    """Identifiers of the elements whose start tag is whole, as libxml2 recovers them."""
    root = etree.fromstring(content, etree.XMLParser(recover=True))
    return {item.get("A", "") for item in root.iter(etree.Element) if item.tag not in NAMELESS}


@given(st.integers(FIRST + 1, len(WHOLE) - 20))
def test_all_that_stands_before_the_cut_is_read(at: int) -> None:
    content = WHOLE[:at]
    with pytest.raises(SourceError, match="or read everything before the fault with `rescue`"):
        document_of(of(content))
    document = document_of(of(content), rescue=True)
    whole_tags = content[: content.rindex(b">") + 1]  # libxml2 also makes something of half a tag
    found = {value for item in document.walk() for value in item.attributes.values()}
    assert started(whole_tags) - {""} <= found
    cut = told(document.findings)
    assert cut.facts["line"] == cut.place.line
    assert content[: int(cut.facts["octets"])].count(b"\n") <= int(cut.facts["line"])
    assert cut.facts["size"] == at
    lines = {item.id: item.line for item in document_of(of(WHOLE)).walk() if item.id}
    assert all(lines[item.id] == item.line for item in document.walk() if item.id), "lines are those of the file"


@given(st.integers(FIRST + 1, len(WHOLE) - 20), st.binary(min_size=1, max_size=40))
def test_damage_in_the_middle_costs_what_stands_behind_it_and_no_more(at: int, rubbish: bytes) -> None:
    content = WHOLE[:at] + b"\0" + rubbish + b"<" + WHOLE[at + 50 :]
    document = document_of(of(content), rescue=True)
    assert int(told(document.findings).facts["octets"]) <= at
    before = {item.id for item in document_of(of(WHOLE[:at]), rescue=True).walk()}
    assert {item.id for item in document.walk()} == before


FIELD = '<PFD A="PFD1" C="Kuhle" D="9000"><PLN A="1"><LSG A="1">{}</LSG>{}</PLN></PFD>'
RING = "".join(f'<PNT A="2" C="54.{digits}" D="10.{digits}"/>' for digits in ("10", "11", "12", "10"))


def test_half_a_ring_of_a_polygon_is_left_out_and_its_field_is_named() -> None:
    text = HEAD + FIELD.format(RING, f'<LSG A="2">{RING}</LSG>')
    hole = text.index('<LSG A="2">')
    for cut, rings in ((text.index("<PNT") + 60, 0), (hole - 8, 0), (hole, 1), (hole + 90, 1), (len(text) - 6, 2)):
        document = document_of(of(text[:cut].encode()), rescue=True)
        (field,) = document.top("PFD")
        assert sum(len(list(polygon.elements("LSG"))) for polygon in field.elements("PLN")) == rings
        found = told(document.findings)
        assert (found.place.element, found.facts["what"]) == ("PFD1", "Partfield 1; PFD1 is incomplete")


def test_points_of_a_line_that_is_cut_are_kept() -> None:
    text = f'{HEAD}<PFD A="PFD1" C="x" D="1"><LSG A="4">{RING}'
    document = document_of(of(text[:-10].encode()), rescue=True)
    (line,) = document.top("PFD")[0].elements("LSG")
    assert line.point_count() == 3


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1", "windows-1252"])
def test_cut_files_in_other_encodings(encoding: str) -> None:
    name = "UTF-8" if encoding == "utf-8-sig" else encoding
    workers = '<WKR A="WKR1" B="Söderhöft"/><WKR A="WKR2" B="Ährenbrook"/><WKR A="WKR3" B="Äh'
    text = HEAD.replace("UTF-8", name) + workers
    document = document_of(of(text.encode(encoding)), rescue=True)
    assert [item["WorkerLastName"] for item in document.top("WKR")] == ["Söderhöft", "Ährenbrook"]
    told(document.findings)


def test_a_cut_through_a_letter_is_a_cut_and_no_other_encoding() -> None:
    text = f'{HEAD}<WKR A="WKR1" B="Söderhöft"/><WKR A="WKR2" B="Ä'
    document = document_of(of(text.encode()[:-1]), rescue=True)
    assert [item.rule.id for item in document.findings] == ["file.cut-off"]
    assert document.top("WKR")[0]["WorkerLastName"] == "Söderhöft"


def test_external_files_and_the_link_list_are_rescued_and_the_header_of_a_log_is_not() -> None:
    main = f'{HEAD}<XFR A="WKR00001" B="1"/><TSK A="TSK1" G="4"><TLG A="TLG00001" C="1"/></TSK></ISO11783_TaskData>'
    external = '<?xml version="1.0"?><XFC><WKR A="WKR1" B="one"/><WKR A="WKR2" B="tw'
    header = '<TIM A="" D="4"><PTN A="" B="" D=""/><DLV A="0001" B="" C="DET1"/><DLV A="00'
    files = of(main.encode(), WKR00001__XML=external.encode(), TLG00001__XML=header.encode(), TLG00001__BIN=b"")
    plain = document_of(files)
    unread = [item for item in plain.findings if item.rule.id == "file.unreadable"]
    assert [item.unread is not None and item.unread.otherwise != "" for item in unread] == [True, False]
    document = document_of(files, rescue=True)
    assert [item.id for item in document.top("WKR")] == ["WKR1"]
    assert told(document.findings).place.file == "WKR00001.XML"
    assert document.header("TLG00001") is None
    assert [item.place.file for item in document.findings if item.rule.id == "file.unreadable"] == ["TLG00001.XML"]


@pytest.mark.parametrize(
    "content",
    [
        b'<!DOCTYPE x [<!ENTITY a "b">]><ISO11783_TaskData><WKR A="WKR1"',
        b"<ISO11783_TaskData",
        b"no XML at all",
        b"\0" * 100,
    ],
)
def test_what_is_hostile_or_begins_with_nothing_is_not_rescued(content: bytes) -> None:
    assert rescued(content) is None
    with pytest.raises(SourceError) as caught:
        document_of(of(content), rescue=True)
    assert "rescue" not in str(caught.value)


def test_nesting_is_limited_in_what_is_rescued() -> None:
    with pytest.raises(SourceError, match="nests elements deeper"):
        document_of(of((HEAD + "<PGP>" * 200).encode()), rescue=True)


def test_a_sound_set_is_read_as_without(tmp_path: Path) -> None:
    assert taskdata.read(OFFICE, rescue=True).findings == taskdata.read(OFFICE).findings
    assert rescued(WHOLE) is None


def test_from_python(tmp_path: Path) -> None:
    folder = shutil.copytree(OFFICE, tmp_path / "TASKDATA")
    content = (folder / "TASKDATA.XML").read_bytes()
    (folder / "TASKDATA.XML").write_bytes(content[: len(content) * 6 // 10])
    with pytest.raises(SourceError, match="`rescue`"):
        taskdata.read(folder)
    data = taskdata.read(folder, rescue=True)
    assert data.fields
    assert len(read_document(folder, rescue=True).top("PFD")) == len(data.fields)
    report = taskdata.check(folder, rescue=True)
    found = told(list(report.findings))
    lines = [item.place.line or 0 for item in report.findings if item.place.file == found.place.file]
    assert max(lines) == found.place.line
