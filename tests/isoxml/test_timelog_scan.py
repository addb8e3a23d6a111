"""A log that is looked through in pieces comes to the same as the log decoded as a whole."""

import struct

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.timelog.decode import decode
from taskdata.isoxml.timelog.layout import Layout, LogHeader
from taskdata.isoxml.timelog.scan import scan
from taskdata.model.log_extent import LogExtent
from tests.isoxml.test_timelog import DLV, STORED, files, header, small_file


def agree(data, layout, size):
    """Compare both looks at a file, the one in pieces of so many bytes."""
    whole = decode(data, layout, file="TLG00001.BIN")
    found = scan(lambda: Blob.of("TLG00001.BIN", data).pieces(size), layout, file="TLG00001.BIN")
    assert found.records == len(whole)
    assert found.findings == whole.findings
    expected = LogExtent.of(whole.time(), whole.longitude(), whole.latitude())
    assert (found.extent.start, found.extent.end) == (expected.start, expected.end)
    if expected.frame is None:
        assert found.extent.frame is None
    else:
        np.testing.assert_allclose(found.extent.frame, expected.frame, rtol=0, atol=1e-9)


@settings(max_examples=50, deadline=None)
@given(files(), st.integers(1, 40), st.integers(0, 3), st.binary(max_size=3), st.data())
def test_any_log_in_any_pieces(file, pieces, values, fill, draw):
    stored, data = file
    damaged = bytearray(data + (fill[:1] or b"\0") * draw.draw(st.sampled_from([0, 0, 1, 17, 40, 1_400, 3_000])))
    for _ in range(draw.draw(st.integers(0, 2)) if damaged else 0):
        damaged[draw.draw(st.integers(0, len(damaged) - 1))] = draw.draw(st.integers(0, 255))
    cut = draw.draw(st.integers(0, 30))
    agree(bytes(damaged[: len(damaged) - cut]), Layout.of(header(stored, values)), len(damaged) // pieces + 1)


@pytest.mark.parametrize("fill", [0x00, 0xFF, 0x07])
@pytest.mark.parametrize("octets", [0, 1, 16, 17, 18, 1_292, 5_000])
@pytest.mark.parametrize("size", [19, 1_000, 100_000])
def test_padding_in_pieces(fill, octets, size):
    data = small_file() + bytes([fill]) * octets
    agree(data, Layout.of(header(STORED)), size)
    agree(data + b"\x01" + bytes([fill]) * octets, Layout.of(header(STORED)), size)
    agree(bytes([fill]) * octets, Layout.of(header(STORED)), size)


@pytest.mark.parametrize("size", [1, 10, 15, 16, 1_000])
@pytest.mark.parametrize("rest", [b"", b"\x05"])
def test_a_log_without_counts_in_pieces(size, rest):
    layout = Layout.of(LogHeader({"A": "", "D": "4"}, {"A": "", "B": ""}))
    record = struct.pack("<IHii", 36_000_000, 17_130, 524_000_000, 95_000_000)
    agree(record * 9 + rest, layout, size)
    agree((record + b"\0") * 9 + rest, layout, size)


@pytest.mark.parametrize(
    "places",
    [
        [(-1, 95_000_000)],
        [(0, 0), (524_000_000, 95_000_000)],
        [(524_000_000, 1_799_999_990), (524_000_000, -1_799_999_990)],
        [(0x7FFFFFFF, 0x7FFFFFFF), (524_000_000, 95_000_000)],
        [(0, -1), (0, 1)],
        [(-500, 5), (500, 5)],
    ],
)
def test_places_that_no_machine_was_at_and_places_beyond_the_edge(places):
    rows = [struct.pack("<IHiiBB", 1_000 * at, 17_130, *place, 4, 0) for at, place in enumerate(places)]
    for size in (18, 10_000):
        agree(b"".join(rows), Layout.of(header(STORED)), size)


def test_times_that_are_not_known():
    rows = [(0xFFFFFFFF, 17_130), (5, 0xFFFF), (7_000, 17_131), (9_000, 17_130)]
    data = b"".join(struct.pack("<IHiiBB", *row, 524_000_000, 95_000_000, 4, 0) for row in rows)
    for size in (18, 10_000):
        agree(data, Layout.of(header(STORED)), size)
        agree(data[:36], Layout.of(header(STORED)), size)


def test_a_start_in_the_header_stands_for_all():
    layout = Layout.of(LogHeader({"A": "2024-05-06T07:08:09", "D": "4"}, {"A": "", "B": ""}, (DLV,)))
    agree(struct.pack("<iiB", 524_000_000, 95_000_000, 0) * 5, layout, 7)
