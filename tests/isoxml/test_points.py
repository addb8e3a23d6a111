"""Binary point files: exact coordinates, fields by the attributes written empty (ISO 11783-10:2015, 8.6.4)."""

import struct
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.errors import UsageError
from taskdata.isoxml.binary.points import PointLayout, PointRecords, decode, encode
from taskdata.raised_rules.points.cut_record import RULE as CUT_RECORD

# Fields in file order with their struct codes (ISO 11783-10:2015, 8.6.4).
CODES = {"A": "B", "C": "q", "D": "q", "E": "i", "F": "B", "H": "H", "I": "H"}


@given(st.sets(st.sampled_from(sorted(CODES))), st.binary(max_size=200))
def test_any_file_agrees_with_struct_and_is_written_back_alike(letters, data):
    layout = PointLayout.of(dict.fromkeys(sorted(letters, reverse=True), ""))
    points = decode(data, layout)
    form = "<" + "".join(code for letter, code in CODES.items() if letter in letters)
    length = struct.calcsize(form)
    whole = len(data) // length if length else 0
    assert [tuple(row) for row in points.rows.tolist()] == list(
        struct.iter_unpack(form, data[: whole * length]) if length else []
    )
    assert encode(points) == data
    assert bool(points.findings) == (whole * length != len(data))


def test_coordinates_stay_exact():
    north, east = 524_123_456_789_012_345, -95_000_000_000_000_001
    layout = PointLayout.of({"A": "10", "C": "", "D": "", "J": "PNT00001"})
    points = decode(struct.pack("<qqqq", north, east, 0, 900_000_000_000_000_000), layout)
    assert points.column("PointNorth").tolist() == [north, 0]
    assert points.decimal_texts("PointNorth") == ["52.4123456789012345", "0"]
    assert points.decimal_texts("PointEast") == ["-9.5000000000000001", "90"]
    assert points.latitude()[0] == float("52.4123456789012345")
    assert points.longitude()[1] == 90.0
    assert layout.constants == {"PointType": "10", "Filename": "PNT00001"}


@given(st.integers(-(2**63), 2**63 - 2).filter(lambda number: number != -1))
def test_texts_are_exact_and_floats_are_near(number):
    points = decode(struct.pack("<q", number), PointLayout.of({"C": ""}))
    (text,) = points.decimal_texts("PointNorth")
    assert Decimal(text) == Decimal(number).scaleb(-16)
    assert "E" not in text
    assert not (text.endswith(("0", ".")) and "." in text)
    assert points.latitude()[0] == pytest.approx(float(text), rel=2.3e-16)


def test_missing_markers_and_units():
    layout = PointLayout.of(dict.fromkeys(CODES, ""))
    stored = struct.pack("<BqqiBHH", 2, 0, 0, -12, 3, 25, 1500)
    absent = struct.pack("<BqqiBHH", 255, -1, 2**63 - 1, -1, 255, 0xFFFF, 0xFFFF)
    points = decode(stored + absent, layout)
    texts = {field.name: points.decimal_texts(field.name) for field in layout.fields}
    assert texts == {
        "PointType": ["2", None],
        "PointNorth": ["0", None],
        "PointEast": ["0", None],
        "PointUp": ["-12", None],
        "PointColour": ["3", None],
        "PointHorizontalAccuracy": ["0.025", None],
        "PointVerticalAccuracy": ["1.5", None],
    }
    assert np.isnan(points.longitude()).tolist() == [False, True]
    assert np.isnan(decode(b"", PointLayout.of({"C": ""})).longitude()).tolist() == []


def test_every_truncation_gives_whole_points():
    layout = PointLayout.of({"C": "", "D": ""})
    data = struct.pack("<6q", 1, 2, 3, 4, 5, 6)
    for length in range(len(data) + 1):
        points = decode(data[:length], layout, file="PNT00001.BIN")
        assert len(points) == length // 16
        assert encode(points) == data[:length]
        assert [finding.rule for finding in points.findings] == ([CUT_RECORD] if length % 16 else [])


def test_memory_mapped_file(tmp_path):
    path = tmp_path / "PNT00001.BIN"
    path.write_bytes(struct.pack("<qq", 1, 2))
    points = decode(np.memmap(path, dtype=np.uint8, mode="r"), PointLayout.of({"C": "", "D": ""}))
    assert points.column("PointEast").tolist() == [2]


def test_build_from_columns():
    layout = PointLayout.of({"C": "", "D": ""})
    points = PointRecords.build(layout, {"PointNorth": [1, 2], "PointEast": [3, 4]})
    assert encode(points) == struct.pack("<4q", 1, 3, 2, 4)


@pytest.mark.parametrize(
    "columns", [{"PointNorth": [1]}, {"PointNorth": [1], "PointEast": [1, 2]}, {"PointNorth": [1.5], "PointEast": [1]}]
)
def test_build_refuses_what_no_file_can_hold(columns):
    with pytest.raises(UsageError):
        PointRecords.build(PointLayout.of({"C": "", "D": ""}), columns)
