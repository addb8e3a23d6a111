"""What is written says what was read: by our own reader, and by canonical XML of lxml."""

import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from taskdata.errors import TargetError
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, OtherNode, PointRun
from taskdata.isoxml.writing.write import write_folder, write_zip, writing_changes, xml_bytes
from tests.generate import build, file_sets

MAIN = b'<?xml version="1.0" encoding="UTF-8"?><ISO11783_TaskData VersionMajor="4"/>'


def written(document):
    """Return the files of a document as it writes them."""
    packed = io.BytesIO()
    write_zip(document, packed)
    with zipfile.ZipFile(packed) as archive:
        assert archive.testzip() is None
        assert all(name.startswith("TASKDATA/") for name in archive.namelist())
        return {name.removeprefix("TASKDATA/"): archive.read(name) for name in archive.namelist()}


def reread(files):
    return document_of(FileSet("again", tuple(Blob.of(*item) for item in sorted(files.items()))))


def canonical(content):
    """Return canonical XML (W3C, c14n 1.0) without white space between elements."""
    root = etree.fromstring(content, etree.XMLParser(remove_blank_text=True))
    for node in root.iter():
        node.tail = node.tail if node.tail and node.tail.strip(" \t\r\n") else None
        if isinstance(node.tag, str) and node.text and not node.text.strip(" \t\r\n"):
            node.text = None
    return etree.tostring(root.getroottree(), method="c14n", with_comments=True)


@given(file_sets())
def test_what_is_written_reads_back_without_a_difference(made):
    document = made.document()
    files = written(document)
    assert sorted(files) == sorted(made.files)
    assert list(differences(document, reread(files))) == []
    for name, content in made.files.items():
        if name.endswith(".XML"):
            assert canonical(files[name]) == canonical(content)
        else:
            assert files[name] == content


@given(file_sets(small=True))
def test_writing_again_gives_the_same_bytes(made):
    once = written(made.document())
    assert written(reread(once)) == once


@given(
    st.dictionaries(
        st.sampled_from("ABCDE"),
        st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]) | st.sampled_from("\t\n\r\x85<&>\"'")),
    )
)
def test_any_text_survives_in_an_attribute(attributes):
    attributes = {key: text for key, text in attributes.items() if not set(text) & {"\ufffe", "\uffff"}}
    content = xml_bytes(XmlFile("X.XML", "main", Element("A", attributes)))
    assert dict(etree.fromstring(content).attrib) == attributes


@given(st.lists(st.sampled_from(["text", "comment", "instruction", "element", "points", "point"]), max_size=8))
def test_mixed_content_keeps_its_texts_and_order(kinds):
    root = Element("A")
    for kind in kinds:
        after_text = (
            bool(root.children) and isinstance(root.children[-1], OtherNode) and root.children[-1].kind == "text"
        )
        if kind in {"text", "comment", "instruction"} and not (kind == "text" and after_text):
            root.append(
                OtherNode(
                    kind, {"text": " a <b> & c ]]> \r\u00a0", "comment": " c <d>&", "instruction": "e f='g'"}[kind]
                )
            )
        elif kind == "element":
            inner = Element("B", {"x": "1"})
            inner.append(Element("C"))
            root.append(inner)
        elif kind == "points":
            root.append(PointRun.of({"A": ["1", "1"], "C": ["5.", "+6.0"]}))
        elif kind == "point":
            root.append(Element("PNT", {"A": "2", "B": "<name>"}))
    first = Document("x", [XmlFile("TASKDATA.XML", "main", Element("ISO11783_TaskData"))])
    first.root.append(root)
    assert list(differences(first, reread(written(first)))) == []


def test_a_folder_holds_the_same_bytes_as_an_archive(tmp_path):
    document = build(11, 4).document()
    write_folder(document, tmp_path / "TASKDATA")
    assert {item.name: item.read_bytes() for item in (tmp_path / "TASKDATA").iterdir()} == written(document)
    assert list(differences(document, read_document(tmp_path))) == []


def test_an_archive_is_the_same_in_every_run(tmp_path):
    document = build(12, 3).document()
    for name in ("a.zip", "b.zip"):
        write_zip(document, tmp_path / name)
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_names_become_capitals_and_it_is_told():
    document = reread({"taskdata.xml": MAIN, "tlg00001.bin": b"1", "Readme.txt": b"2"})
    assert sorted(written(document)) == ["README.TXT", "TASKDATA.XML", "TLG00001.BIN"]
    told = [loss.what for loss in writing_changes(document)]
    assert len(told) == 3
    assert "file name Readme.txt becomes README.TXT" in told


@pytest.mark.parametrize(
    "files",
    [
        {"TLG00001.BIN": b"1", "tlg00001.bin": b"2", "Tlg00001.bin": b"3"},
        {"a.txt": b"1", "A.txt": b"2"},
        {"PFD00001.XML": b"<XFC/>", "pfd00001.xml": b"another"},
        {"straße.txt": b"1", "STRASSE.TXT": b"2"},
        {"taskdata.XML": b"<x/>"},
    ],
)
def test_names_that_differ_in_case_alone_stay_apart(files):
    main = MAIN.replace(b"/>", b'><XFR A="PFD00001" B="1"/></ISO11783_TaskData>')
    document = reread({"TASKDATA.XML": main, **files})
    again = written(document)
    assert len(again) == len(files) + 1
    bare = sorted(content for content in again.values() if b"<" not in content)
    assert bare == sorted(content for content in files.values() if b"<" not in content)
    assert list(differences(document, reread(again))) == []


@pytest.mark.parametrize("name", ["../EVIL", "a/b", "..", "", "C:x", "a\\b"])
def test_a_name_with_a_path_is_never_written(tmp_path, name):
    document = reread({"TASKDATA.XML": MAIN})
    document.others["X"] = Blob.of(name, b"evil")
    with pytest.raises(TargetError):
        write_folder(document, tmp_path / "set")
    with pytest.raises(TargetError):
        write_zip(document, tmp_path / "set.zip")
    document.others.clear()
    document.main.name = name
    with pytest.raises(TargetError):
        writing_changes(document)
    assert list(tmp_path.parent.rglob("*EVIL*")) == []


def test_two_files_of_one_name_are_refused():
    document = reread({"TASKDATA.XML": MAIN})
    document.others |= {"X": Blob.of("X", b"1"), "Y": Blob.of("X", b"2")}
    with pytest.raises(TargetError, match="another file"):
        writing_changes(document)


def test_encodings_become_utf8_and_it_is_told():
    content = '<?xml version="1.0" encoding="ISO-8859-1"?><ISO11783_TaskData B="ü"/>'.encode("latin-1")
    document = reread({"TASKDATA.XML": content})
    assert [loss.what for loss in writing_changes(document)] == ["encoding of TASKDATA.XML: ISO-8859-1 becomes UTF-8"]
    again = reread(written(document))
    assert (again.main.encoding, again.root.attributes["B"], again.findings) == ("UTF-8", "ü", [])


def test_a_byte_order_mark_stays():
    document = reread({"TASKDATA.XML": b"\xef\xbb\xbf" + MAIN})
    assert written(document)["TASKDATA.XML"].startswith(b"\xef\xbb\xbf<?xml")


@pytest.mark.parametrize("end", ["/>", " />"])
def test_empty_elements_end_as_they_did(end: str, tmp_path: Path) -> None:
    text = f'<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4">\n  <CTR A="CTR1" B="x"{end}\n'
    content = f"{text}</ISO11783_TaskData>\n".encode()
    (tmp_path / "TASKDATA.XML").write_bytes(content)
    write_folder(read_document(tmp_path), tmp_path / "back")
    assert (tmp_path / "back" / "TASKDATA.XML").read_bytes() == content
