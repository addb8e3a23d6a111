"""Values in another notation: read as one number, or left where they can be two."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.isoxml.facts import elements
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.decimals import DecimalColumn
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.notation import decimal_text, integer_text, meant
from taskdata.isoxml.writing.write import named_files, xml_bytes
from taskdata.repairs.run import clean
from tests import samples

DECIMALS = st.decimals(-1000, 1000, allow_nan=False, allow_infinity=False, places=9)


@given(DECIMALS)
def test_a_decimal_comma_is_a_decimal_point(number: Decimal) -> None:
    text = f"{number:f}"
    assert decimal_text(text.replace(".", ","), None) == text


@given(DECIMALS, st.integers(-30, 30), st.sampled_from(["e", "E"]), st.sampled_from([".", ","]))
def test_an_exponent_is_that_of_the_library(number: Decimal, power: int, sign: str, point: str) -> None:
    """Python's own ``decimal`` reads scientific notation exactly."""
    text = f"{number:f}{sign}{power:+d}"
    plain = decimal_text(text.replace(".", point), None)
    assert plain is not None
    assert Decimal(plain) == Decimal(text)
    assert re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", plain)


@pytest.mark.parametrize(
    ("text", "most", "plain"),
    [
        ("1,234", None, None),  # one and a bit, or one thousand
        ("1,234", 1e8, None),
        ("54,300", 90.0, "54.300"),  # no latitude of 54300
        ("-7,001", 180.0, "-7.001"),
        ("0,123", None, "0.123"),  # nobody writes a thousand with a leading zero
        ("1234,567", None, "1234.567"),  # nor with four digits before the comma
        ("1,2345", None, "1.2345"),
        ("1,234,567", None, None),
        ("1.234,5", None, None),
        ("1,234.5", None, None),
        (",5", None, "0.5"),
        ("5,", None, None),
        (",", None, None),
        ("", None, None),
        ("e5", None, None),
        ("1e", None, None),
        ("1e999", None, None),
        ("0x10", None, None),
        ("1 234", None, None),
        ("12a", None, None),
    ],
)
def test_what_has_two_meanings_is_left(text: str, most: float | None, plain: str | None) -> None:
    assert decimal_text(text, most) == plain


@pytest.mark.parametrize(
    ("text", "plain"),
    [("1.2E4", "12000"), ("12.0", "12"), ("12,00", "12"), ("12,5", None), ("1,000", None), ("1.5e0", None)],
)
def test_whole_numbers(text: str, plain: str | None) -> None:
    assert integer_text(text) == plain


def test_what_the_standard_has_is_never_touched() -> None:
    for tag, element in elements().items():
        for letter in element.attributes:
            for text in (
                "0",
                "1",
                "54.3",
                "0006",
                "TLG00001",
                "2024-04-18T08:00:00.123456",
                "2024-04-18T08:00:00Z",
                "",
            ):
                other = meant(tag, letter, text)
                fact = element.attributes[letter]
                if other is not None:  # too short for a DDI, or no whole number
                    assert fact.type == "xs:hexBinary" or (fact.type != "xs:decimal" and text == "54.3")


def test_a_column_reads_other_notations_like_a_plain_one() -> None:
    texts = ["54,3001", "5.43E1", "1,234", "x", "54.3"]
    assert DecimalColumn.from_texts(texts).floats(most=90.0).tolist()[:3] == [54.3001, 54.3, 1.234]
    assert np.isnan(DecimalColumn.from_texts(texts).floats()[2])
    assert DecimalColumn.from_texts(texts).texts() == texts


@pytest.mark.parametrize("sample", samples.SOUND, ids=lambda path: path.parent.name)
def test_a_set_in_another_notation_is_the_same_set(sample: Path) -> None:
    sound = read_document(sample)
    other = otherwise(sample)
    assert other != [xml_bytes(file) for file in sound.xml_files]
    data, meant_data = to_dataset(sound), to_dataset(other)
    for one, two in zip(data.fields, meant_data.fields, strict=True):
        assert [ring.tolist() for area in one.boundaries for ring in area.exteriors] == [
            ring.tolist() for area in two.boundaries for ring in area.exteriors
        ]
    for one, two in zip(data.tasks, meant_data.tasks, strict=True):
        assert one.times == two.times
        assert [zone.setpoints for zone in one.zones] == [zone.setpoints for zone in two.zones]
        logs = [[None if log.records is None else log.records.time.size for log in task.logs] for task in (one, two)]
        assert logs[0] == logs[1]
    assert sorted(item.rule.id for item in meant_data.findings) == sorted(item.rule.id for item in data.findings)
    before = {item.rule.id for item in run(Subject(sound, data))}
    found = run(Subject(other, meant_data))
    assert {item.rule.id for item in found} - before == {"schema.other-notation"}
    assert len(found) < len(run(Subject(sound, data))) + 60
    cleaned, changes, _ = clean(other, only=["schema.other-notation"])
    assert {str(change.standing) for change in changes} == {"safe"}
    sound.expand_loose_points()
    assert list(differences(sound, cleaned)) == []


def otherwise(sample: Path) -> Document:
    """A set as a careless program would write it: decimal commas, short DDIs, file names with extension, blanks."""
    blobs = []
    for name, file in named_files(read_document(sample)):
        if not isinstance(file, XmlFile):
            blobs.append(file)
            continue
        text = xml_bytes(file).decode()
        text = re.sub(r'"(-?\d+)\.(\d{4,})"', r'"\1,\2"', text)
        text = re.sub(r'<(PDV|DLV|DLT) ([^>]*)A="00?([0-9A-F]{2,3})"', r'<\1 \2A="\3"', text)
        text = re.sub(r'"(TLG|GRD|PNT)(\d{5})"', r'"\1\2.BIN"', text)
        text = re.sub(r'"(PFD|CTR|PDT)(0\d{4})"', r'"\1\2.xml"', text)
        text = re.sub(r'"(\d{4}-\d\d-\d\d)T(\d\d:\d\d:\d\d)"', r'"\1 \2"', text)
        blobs.append(Blob.of(name, text.encode()))
    return document_of(FileSet("set", tuple(blobs), "TASKDATA"))
