"""Files that are not what they say are read as far as they can be, and it is told."""

from collections import Counter

import pytest
from hypothesis import given
from lxml import etree

from taskdata.errors import SourceError
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of
from tests.generate import FEATURES, build, file_sets

BODY = '<ISO11783_TaskData VersionMajor="4" VersionMinor="0" DataTransferOrigin="1">{}</ISO11783_TaskData>'
FIELD = '<PFD A="PFD1" C="{}" D="1"/>'


def document(content, **others):
    blobs = [Blob.of(name.replace("__", "."), data) for name, data in others.items()]
    return document_of(FileSet("set", (Blob.of("TASKDATA.XML", content), *blobs)))


def xml(body, declared="UTF-8", written="utf-8"):
    return f'<?xml version="1.0" encoding="{declared}"?>\n{BODY.format(body)}'.encode(written)


def name_and_rules(content):
    made = document(content)
    return made.top("PFD")[0]["PartfieldDesignator"], [found.rule.id for found in made.findings]


@given(file_sets())
def test_nothing_is_found_wrong_in_a_sound_set_but_a_mark(made):
    document = made.document()
    assert {found.rule.id for found in document.findings} <= {"file.byte-order-mark"}
    roles = {file.name: file.role for file in document.xml_files}
    assert sorted([*roles, *document.others]) == sorted(made.files)
    for name, role in roles.items():
        assert role == {"TAS": "main", "TLG": "header", "LIN": "linklist"}.get(name[:3], "external")
    assert {name: blob.read() for name, blob in document.others.items()} == {
        name: made.files[name] for name in document.others
    }


def test_counts_and_identifiers_span_main_and_external_files():
    made = build(3, 4, frozenset(FEATURES))
    document = made.document()
    files = [
        content for name, content in made.files.items() if name.endswith(".XML") and name[:3] not in {"TLG", "LIN"}
    ]
    tags = Counter(element.tag for content in files for element in etree.fromstring(content).iter(etree.Element))
    assert document.counts() == {tag: count for tag, count in tags.items() if tag not in {"ISO11783_TaskData", "XFC"}}
    assert {document.by_id[item.id] for item in document.by_tag["PFD"]} == set(document.by_tag["PFD"])


@pytest.mark.parametrize(
    ("content", "name", "rules"),
    [
        (xml(FIELD.format("Süd"), "UTF-8", "cp1252"), "Süd", ["file.not-utf-8"]),
        (xml(FIELD.format("Süd €"), "UTF-8", "cp1252"), "Süd €", ["file.not-utf-8"]),
        (xml(FIELD.format("\x81ü"), "UTF-8", "latin-1"), "\x81ü", ["file.not-utf-8"]),
        (
            b"\xef\xbb\xbf" + xml(FIELD.format("Süd"), "UTF-8", "cp1252"),
            "Süd",
            ["file.not-utf-8", "file.byte-order-mark"],
        ),
        (xml(FIELD.format("Süd"), "ISO-8859-1", "latin-1"), "Süd", ["file.other-encoding"]),
        (xml(FIELD.format("田地"), "GBK", "gbk"), "田地", ["file.other-encoding"]),
        (xml(FIELD.format("plain"), "Shift_JIS", "ascii"), "plain", ["file.other-encoding"]),
        (xml(FIELD.format("Süd"), "utf-16", "utf-8"), "Süd", ["file.other-encoding"]),
        (xml(FIELD.format("Süd"), "utf-16", "utf-16"), "Süd", ["file.other-encoding"]),
        (xml(FIELD.format("Süd"), "x-unknown", "utf-8"), "Süd", ["file.other-encoding"]),
        (b"\xef\xbb\xbf" + xml(FIELD.format("Süd"), "utf-16", "utf-8"), "Süd", ["file.other-encoding"]),
    ],
)
def test_encodings(content, name, rules):
    assert name_and_rules(content) == (name, rules)


def test_the_first_byte_that_is_no_utf8_is_named_wherever_it_stands():
    content = xml(f"<!--{'ü' * 600_000}-->" + FIELD.format("Süd"), "UTF-8").replace("Süd".encode(), b"S\xfcd")
    found = document(content).findings[0]
    assert found.place.offset == content.index(b"\xfcd")


@pytest.mark.parametrize(
    "content", [xml("", "x-unknown", "cp1252") + b"\xff", xml("<PFD").replace(b">", b""), b"\xff\xfe<"]
)
def test_a_main_file_that_cannot_be_read_is_refused(content):
    with pytest.raises(SourceError):
        document(content)


def test_a_broken_external_file_or_header_is_a_finding_and_its_bytes_are_kept():
    body = '<XFR A="PFD00001" B="1"/><TSK A="TSK1" G="1"><TLG A="TLG00001" C="1"/></TSK>'
    made = document(xml(body), PFD00001__XML=b"<XFC><PFD", TLG00001__XML=b"<!DOCTYPE x><TIM/>")
    assert [found.rule.id for found in made.findings] == ["file.unreadable", "file.unreadable"]
    assert made.others["PFD00001.XML"].read() == b"<XFC><PFD"
    assert len(made.xml_files) == 1


def test_references_without_a_name_mean_no_file():
    made = document(xml('<XFR B="1"/><AFE/><TSK A="TSK1"><TLG/><GRD/></TSK>'), NONE__XML=b"<a/>", none__bin=b"")
    assert made.findings == []
    assert sorted(made.others) == ["NONE.BIN", "NONE.XML"]


def test_an_external_file_that_names_the_main_file_or_itself_ends():
    made = document(
        xml('<XFR A="TASKDATA" B="1"/><XFR A="PFD00001" B="1"/><XFR A="PFD00001" B="1"/>'), PFD00001__XML=b"<XFC/>"
    )
    assert [file.role for file in made.xml_files] == ["main", "external"]


def test_attached_files_in_another_case_are_noted():
    made = document(xml('<AFE A="NOTES001.TXT"/>'), notes001__txt=b"")
    assert [found.facts["wanted"] for found in made.findings] == ["NOTES001.TXT"]
