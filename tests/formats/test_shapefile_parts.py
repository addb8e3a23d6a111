"""Files of one shapefile that do not fit each other (ESRI Shapefile Technical Description, July 1998).

Each row must keep its own shape, or the user must hear that it may not have.
"""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.read import read
from taskdata.reports.words import message
from tests.formats.raw_layers import SQUARE, shape_record, shapefile

TABLE_HEADER = 65


def three(folder: Path) -> Path:
    squares = ([[lon + step / 10.0, lat] for lon, lat in SQUARE[::-1]] for step in range(3))
    return shapefile(folder / "plots.shp", [shape_record([square]) for square in squares])


def patched(path: Path, at: int, content: bytes) -> None:
    data = bytearray(path.read_bytes())
    data[at : at + len(content)] = content
    path.write_bytes(data)


def found(folder: Path) -> tuple[dict[str, float], list[str]]:
    data = plain(read(folder))
    west = {field.name: float(field.boundaries[0].exteriors[0][:, 0].min()) for field in data.fields}
    return west, [message(finding) for finding in data.findings]


WHOLE = {"n1": 10.0, "n2": 10.1, "n3": 10.2}


@pytest.mark.parametrize(
    ("at", "word"),
    [(108, 50), (108, 52), (108, -52), (108, 2**30), (112, 3), (112, 2**30)],
    ids=["another record", "within a record", "negative", "beyond", "too short", "too long"],
)
def test_an_index_that_does_not_fit_is_rebuilt(at: int, word: int, tmp_path: Path) -> None:
    """Page 24: offset and content length of each record, in 16-bit words, big-endian, from byte 100 on."""
    three(tmp_path)
    patched(tmp_path / "plots.shx", at, struct.pack(">i", word))
    assert found(tmp_path) == (WHOLE, ["The index plots.shx does not fit plots.shp; it was rebuilt for reading."])


def test_an_index_with_fewer_entries_is_rebuilt(tmp_path: Path) -> None:
    three(tmp_path)
    index = tmp_path / "plots.shx"
    index.write_bytes(index.read_bytes()[:-8])
    assert found(tmp_path) == (WHOLE, ["The index plots.shx does not fit plots.shp; it was rebuilt for reading."])


def test_records_out_of_order_are_no_fault(tmp_path: Path) -> None:
    """A record that grew is written anew at the end, and the index points there."""
    path = three(tmp_path)
    data = path.read_bytes()
    size = (len(data) - 100) // 3
    path.write_bytes(data + data[100 : 100 + size])
    patched(path, 24, struct.pack(">i", (len(data) + size) // 2))
    patched(tmp_path / "plots.shx", 100, struct.pack(">i", len(data) // 2))
    assert found(tmp_path) == (WHOLE, [])


def test_numbers_from_zero_are_no_fault(tmp_path: Path) -> None:
    path = three(tmp_path)
    size = (path.stat().st_size - 100) // 3
    for number in range(3):
        patched(path, 100 + size * number, struct.pack(">i", number))
    assert found(tmp_path) == (WHOLE, [])


def test_a_main_file_that_is_damaged_within_is_told(tmp_path: Path) -> None:
    path = three(tmp_path)
    patched(path, 104, struct.pack(">i", 3))
    assert found(tmp_path)[1] == [
        "The index plots.shx does not fit plots.shp; rows may have the wrong shapes, or none."
    ]


def test_rows_marked_as_deleted_are_told_and_the_others_keep_their_numbers(tmp_path: Path) -> None:
    """A blank before a row keeps it, an asterisk deletes it (dBASE file format)."""
    path = three(tmp_path)
    patched(tmp_path / "plots.dbf", TABLE_HEADER + 11, b"*")
    size = (path.stat().st_size - 100) // 3
    patched(path, 100 + 2 * size + 8, struct.pack("<i", 0))  # the third is a null shape
    west, told = found(tmp_path)
    assert list(west) == ["n1"]
    assert told == [
        "Rows of plots.shp are marked as deleted in plots.dbf and left out, 1 in all: 2.",
        "Row 3 of plots.shp has no geometry and is left out.",
    ]


@pytest.mark.parametrize(("rows", "left"), [(2, 2), (4, 3)])
def test_a_table_of_another_length_is_told(rows: int, left: int, tmp_path: Path) -> None:
    three(tmp_path)
    table = tmp_path / "plots.dbf"
    table.write_bytes(table.read_bytes()[:-1] + b" n4        \x1a")
    patched(table, 4, struct.pack("<I", rows))
    west, told = found(tmp_path)
    assert len(west) == left
    assert told == [f"plots.shp has 3 shapes and plots.dbf {rows} rows; what has no counterpart is left out."]


@pytest.mark.parametrize("content", [b"", bytes(200)])
def test_a_table_that_is_none_is_told(content: bytes, tmp_path: Path) -> None:
    three(tmp_path)
    (tmp_path / "plots.dbf").write_bytes(content)
    west, told = found(tmp_path)
    assert list(west.values()) == list(WHOLE.values())
    assert told[-1] == "plots.shp has no readable attribute table (.dbf); only its geometry was read."
