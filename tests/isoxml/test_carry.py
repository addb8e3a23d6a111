"""Tables give the same document back; tables that somebody changed are refused or mean what they say."""

import json
import random
import zlib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.errors import SourceError, TargetError
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.side_tables import packing
from taskdata.isoxml.side_tables.carry import from_tables, to_tables
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.model.carried import Carried
from tests.generate import FEATURES, build, file_sets

TABLES = to_tables(build(31, 4, frozenset(FEATURES), 1).document())


@given(file_sets())
def test_tables_give_the_same_document_back(made):
    document = made.document()
    carried = to_tables(document)
    again = from_tables(carried, "tables")
    assert list(differences(document, again)) == []
    assert to_tables(again) == carried
    rows = {row.key: row for row in carried.elements}
    assert all(rows[key].tag == element.tag for element, key in document.keys.items())
    assert [file.encoding for file in again.xml_files] == [file.encoding for file in document.xml_files]


@given(file_sets(small=True), st.integers())
def test_the_order_of_rows_does_not_matter(made, seed):
    carried = to_tables(made.document())
    draw = random.Random(seed)  # noqa: S311  # test data, no secret
    mixed = Carried(*(tuple(draw.sample(rows, len(rows))) for rows in (carried.elements, carried.files)))
    assert to_tables(from_tables(mixed, "tables")).elements == carried.elements


@pytest.mark.parametrize("in_memory", [1 << 20, 1000])
def test_long_files_are_carried_in_parts(monkeypatch, in_memory):
    monkeypatch.setattr(packing, "PART_SIZE", 1000)
    monkeypatch.setattr(packing, "IN_MEMORY", in_memory)
    document = build(31, 4, frozenset(), 1).document()
    content = random.Random(1).randbytes(25_500)  # noqa: S311  # test data, no secret
    document.others["LONG.BIN"] = Blob.of("LONG.BIN", content)
    carried = to_tables(document)
    assert isinstance(carried.files, tuple) == (in_memory > len(content))
    assert sum(item.name == "LONG.BIN" for item in carried.files) == 26
    assert carried.files[-26:][3] == carried.files[-23]
    assert from_tables(carried, "x").others["LONG.BIN"].read() == content


@pytest.mark.parametrize(
    "texts",
    [["", ""], ["=1", "=1"], ["1 2", "3"], ["1", "1"], ["1"], [" "], ["1"] * 500, ["1", "="] * 100, ["a\tb", "ü"]],
)
def test_any_values_of_a_run_come_back(texts):
    root = Element("ISO11783_TaskData")
    root.append(PointRun.of({"C": texts, "D": texts[::-1]}))
    document = Document("x", [XmlFile("TASKDATA.XML", "main", root)])
    run = from_tables(to_tables(document), "x").root.children[0]
    assert (run.texts("C"), run.texts("D")) == (texts, texts[::-1])


def refused(carried):
    with pytest.raises(SourceError, match="do not match") as caught:
        from_tables(carried, "field.gpkg")
    assert "\n" not in str(caught.value)
    return str(caught.value)


def with_element(position, **changes):
    rows = list(TABLES.elements)
    rows[position] = replace(rows[position], **changes)
    return replace(TABLES, elements=tuple(rows))


def with_file(wanted, **changes):
    files = [replace(item, **changes) if wanted(item) else item for item in TABLES.files]
    assert files != list(TABLES.files)
    return replace(TABLES, files=tuple(files))


def position(wanted):
    return next(at for at, row in enumerate(TABLES.elements) if wanted(row))


def is_main(item):
    return item.role == "main"


def is_other(item):
    return item.role == "other"


def first_other():
    return next(item for item in TABLES.files if is_other(item))


RUN = position(lambda row: row.tag == "#points" and row.content.count(" ") > 1 and '"count":2' not in row.content)
LEAF = position(lambda row: row.tag in {"WKR", "CTR", "VPN"})
COMMENT = position(lambda row: row.tag == "#comment")
MAIN_ROOT = position(lambda row: row.tag == "ISO11783_TaskData")


def run_content(**changes):
    return json.dumps(json.loads(TABLES.elements[RUN].content) | changes)


@pytest.mark.parametrize("at", range(0, len(TABLES.elements), 7))
def test_a_missing_or_doubled_row_is_refused(at):
    rows = TABLES.elements
    refused(replace(TABLES, elements=rows[:at] + rows[at + 1 :]))
    refused(replace(TABLES, elements=(*rows, rows[at])))


ELEMENT_EDITS = {
    "no JSON": (LEAF, {"content": "{"}),
    "a list": (LEAF, {"content": "[]"}),
    "a number": (LEAF, {"content": "5"}),
    "nothing": (LEAF, {"content": "null"}),
    "endless JSON": (LEAF, {"content": "[" * 100_000}),
    "a number as value": (LEAF, {"content": '{"A":5}'}),
    "a control character": (LEAF, {"content": json.dumps({"A": "\x01"})}),
    "half a character": (LEAF, {"content": '{"A":"\\ud800"}'}),
    "a name with a blank": (LEAF, {"content": '{"A B":"5"}'}),
    "a name that ends the tag": (LEAF, {"content": '{"A=\\"\\"/><EVIL x":"5"}'}),
    "a tag that ends itself": (LEAF, {"tag": 'WKR/><EVIL x="'}),
    "an empty tag": (LEAF, {"tag": ""}),
    "a tag with a blank": (LEAF, {"tag": "WKR A"}),
    "no text as content": (LEAF, {"content": None}),
    "an unknown node": (COMMENT, {"tag": "#entity"}),
    "a comment that ends itself": (COMMENT, {"content": '"a --> <EVIL/> <!-- b"'}),
    "a comment with a hyphen at the end": (COMMENT, {"content": '"a-"'}),
    "an instruction that ends itself": (COMMENT, {"tag": "#instruction", "content": '"a ?><EVIL/><?b"'}),
    "a second declaration": (COMMENT, {"tag": "#instruction", "content": "\"xml version='1.0'\""}),
    "a comment that is no text": (COMMENT, {"content": "{}"}),
    "a text outside the root": (0, {"tag": "#text", "content": '"x"', "parent": -1}),
    "a run outside the root": (RUN, {"parent": -1}),
    "a parent below": (LEAF, {"parent": len(TABLES.elements) - 1}),
    "a parent that is itself": (LEAF, {"parent": LEAF}),
    "a parent that is a run": (RUN + 1, {"parent": RUN}),
    "a parent far away": (LEAF, {"parent": 10**9}),
    "another parent": (len(TABLES.elements) - 2, {"parent": MAIN_ROOT}),
    "a parent that is a text": (LEAF, {"parent": "x"}),
    "a second root": (LEAF, {"parent": -1}),
    "another file": (LEAF, {"file": "PFD09999.XML"}),
    "a key twice": (LEAF, {"key": LEAF - 1}),
    "a key that is no number": (LEAF, {"key": None}),
    "another root": (MAIN_ROOT, {"tag": "XFC"}),
    "too few points": (RUN, {"content": run_content(count=1)}),
    "no points": (RUN, {"content": run_content(count=0, columns={"A": []})}),
    "endless points": (RUN, {"content": run_content(count=10**12, columns={"A": "=1"})}),
    "a count that is no number": (RUN, {"content": run_content(count="5")}),
    "columns of other lengths": (RUN, {"content": run_content(count=2, columns={"A": "1 2", "C": ["1"]})}),
    "numbers in a column": (RUN, {"content": run_content(count=2, columns={"A": [1, 2]})}),
    "nothing in a column": (RUN, {"content": run_content(count=2, columns={"A": [None, None]})}),
    "no columns": (RUN, {"content": run_content(columns={})}),
    "a column that ends the tag": (RUN, {"content": run_content(count=2, columns={'A="1"/><EVIL x': "1 2"})}),
    "a control character in a column": (RUN, {"content": run_content(count=2, columns={"A": "\x01 2"})}),
}


@pytest.mark.parametrize(("at", "changes"), ELEMENT_EDITS.values(), ids=ELEMENT_EDITS)
def test_an_edited_element_is_refused(at, changes):
    refused(with_element(at, **changes))


NAMES = ["../EVIL.XML", "/etc/EVIL", "..", ".", "", "a\\b", "C:EVIL", "a\0b", "a\x01b"]
FILE_EDITS = {
    **{f"a file named {name!r}": (is_other, {"name": name}) for name in NAMES},
    **{f"a main file named {name!r}": (is_main, {"name": name}) for name in NAMES},
    "an unknown role": (is_main, {"role": "boss"}),
    "no main file": (is_main, {"role": "external"}),
    "no name": (is_main, {"name": None}),
    "facts that are no JSON": (is_main, {"facts": "x"}),
    "no facts": (is_main, {"facts": "{}"}),
    "facts too many": (
        is_main,
        {"facts": '{"encoding":null,"declared":true,"mark":false,"spaced":false,"guessed":null,"blob":"x"}'},
    ),
    "facts of other types": (
        is_main,
        {"facts": '{"encoding":5,"declared":true,"mark":false,"spaced":false,"guessed":null}'},
    ),
    "no size": (is_other, {"facts": "{}"}),
    "a size that is no number": (is_other, {"facts": '{"size":"x"}'}),
    "an endless size": (is_other, {"facts": '{"size":Infinity}'}),
    "a huge size": (is_other, {"facts": f'{{"size":{10**15}}}'}),
    "a negative size": (is_other, {"facts": '{"size":-1}'}),
    "no bytes": (is_other, {"content": b""}),
    "other bytes": (is_other, {"content": b"PK\x03\x04"}),
    "no bytes at all": (is_other, {"content": None}),
    "another part": (is_other, {"part": 1}),
}


@pytest.mark.parametrize(("wanted", "changes"), FILE_EDITS.values(), ids=FILE_EDITS)
def test_an_edited_file_is_refused(wanted, changes):
    refused(with_file(wanted, **changes))


@pytest.mark.parametrize("wrong", [-1, 1])
def test_a_file_of_another_size_than_stated_is_refused(wrong):
    item = next(item for item in TABLES.files if is_other(item) and json.loads(item.facts)["size"] > 1)
    size = json.loads(item.facts)["size"] + wrong
    assert "bytes" in refused(with_file(lambda one: one is item, facts=json.dumps({"size": size})))


def test_damaged_bytes_never_become_another_file():
    item = max((item for item in TABLES.files if is_other(item)), key=lambda item: len(item.content))
    whole = from_tables(TABLES, "x").others[item.name].read()
    refusals = 0
    for at in range(2, len(item.content), max(1, len(item.content) // 40)):
        content = bytearray(item.content)
        content[at] ^= 0x10
        files = tuple(replace(one, content=bytes(content)) if one is item else one for one in TABLES.files)
        try:
            assert from_tables(replace(TABLES, files=files), "x").others[item.name].read() == whole
        except SourceError:
            refusals += 1
    assert refusals > 30


def test_a_bomb_is_not_unpacked():
    bomb = zlib.compress(bytes(50_000_000))
    item = first_other()
    refused(with_file(lambda one: one is item, content=bomb, facts='{"size":10}'))


def test_missing_files_and_empty_tables_are_refused():
    refused(Carried((), ()))
    refused(replace(TABLES, elements=()))
    refused(replace(TABLES, files=()))
    refused(replace(TABLES, files=tuple(item for item in TABLES.files if not is_main(item))))
    refused(replace(TABLES, files=(*TABLES.files, replace(TABLES.files[0], name="EXTRA.XML", role="external"))))
    refused(replace(TABLES, files=(*TABLES.files, TABLES.files[0])))


def test_elements_nested_without_end_are_refused():
    root = Element("ISO11783_TaskData")
    inner = root
    for _ in range(5000):
        inner.append(Element("A"))
        inner = inner.children[0]
    refused(to_tables(Document("x", [XmlFile("TASKDATA.XML", "main", root)])))


@given(st.data())
def test_random_edits_are_refused_or_give_a_document_that_can_be_written(data):
    strange = (
        st.none() | st.integers(-2, 50) | st.text(max_size=5) | st.sampled_from(["{}", "[]", '""', "#points", "PNT"])
    )
    at = data.draw(st.integers(0, len(TABLES.elements) - 1))
    name = data.draw(st.sampled_from(["key", "parent", "file", "tag", "content"]))
    try:
        document = from_tables(with_element(at, **{name: data.draw(strange)}), "x")
    except SourceError:
        return
    for file in document.xml_files:
        xml_bytes(file)


def test_a_file_name_that_no_table_can_hold_is_refused() -> None:
    document = Document("x", [XmlFile("TASKDATA.XML", "main", Element("ISO11783_TaskData"))])
    document.others["BAD"] = Blob.of("bad\udcff.bin", b"1")
    with pytest.raises(TargetError, match="Rename or remove"):
        to_tables(document)
