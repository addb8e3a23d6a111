"""Binary grids: cell order, sizes and corners (ISO 11783-10:2015, 8.6.2 and D.27)."""

import struct

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.isoxml.binary.grid import Grid, GridPlacement, decode_codes, decode_setpoints, encode
from taskdata.raised_rules.grid.wrong_size import RULE as WRONG_SIZE


def test_codes_run_from_the_south_west_eastward_then_northward():
    grid = decode_codes(bytes([1, 2, 3, 4, 5, 6]), columns=3, rows=2)
    assert grid.cells.tolist() == [[1, 2, 3], [4, 5, 6]]
    assert grid.cells.dtype == np.uint8
    assert grid.present.all()
    assert (grid.trailing, grid.findings) == (b"", ())


def test_setpoints_of_a_cell_stand_together_little_endian():
    data = struct.pack("<8i", 10, -1, 20, -2, 30, -3, 2**31 - 1, -(2**31))
    grid = decode_setpoints(data, columns=2, rows=2, setpoints=2)
    assert grid.cells[0, 1].tolist() == [20, -2]
    assert grid.cells[1, 1].tolist() == [2**31 - 1, -(2**31)]
    assert encode(grid) == data


@given(st.integers(0, 5), st.integers(0, 5), st.integers(0, 3), st.binary(max_size=250))
def test_any_file_is_written_back_alike_and_wrong_sizes_are_found(columns, rows, setpoints, data):
    codes = decode_codes(data, columns, rows, file="GRD00001.BIN")
    assert encode(codes) == data
    assert bool(codes.findings) == (len(data) != columns * rows or columns * rows == 0)
    values = decode_setpoints(data, columns, rows, setpoints)
    assert encode(values) == data
    assert values.cells.shape == (rows, columns, setpoints)
    whole = min(len(data) // (4 * setpoints), columns * rows) if setpoints else 0
    assert np.count_nonzero(values.present) == whole
    flat = values.cells.reshape(-1)[: whole * setpoints].tolist()
    assert flat == list(struct.unpack(f"<{whole * setpoints}i", data[: 4 * whole * setpoints]))


def test_missing_cells_are_marked_and_reported():
    grid = decode_codes(b"\x07" * 4, columns=3, rows=2, file="GRD00001.BIN")
    (finding,) = grid.findings
    assert finding.rule is WRONG_SIZE
    assert finding.place.file == "GRD00001.BIN"
    assert (finding.facts["octets"], finding.facts["expected"], finding.facts["whole"]) == (4, 6, 4)
    assert finding.rule.message.format(**finding.facts)
    assert grid.present.tolist() == [[True, True, True], [True, False, False]]


def test_absurd_sizes_take_no_memory():
    grid = decode_codes(b"\x01\x02", columns=4_294_967_295, rows=4_294_967_295)
    assert grid.cells.size == 0
    assert encode(grid) == b"\x01\x02"
    assert len(grid.findings) == 1
    bare = decode_setpoints(b"\x01", columns=4_294_967_295, rows=4_294_967_295, setpoints=0)
    assert bare.cells.size == 0
    assert encode(bare) == b"\x01"


def test_complete_grid_is_encodable():
    cells = np.arange(12, dtype=np.int32).reshape(2, 3, 2)
    assert encode(Grid.complete(cells)) == struct.pack("<12i", *range(12))
    assert encode(Grid.complete(cells[:, :, 0].astype(np.uint8))) == bytes(range(0, 12, 2))


def test_corners_of_every_cell():
    placement = GridPlacement.of_texts(("52.1", "-0.2"), ("0.1", "0.2"), columns=3, rows=2)
    rings = placement.corners()
    assert rings.shape == (6, 5, 2)
    assert rings[0].tolist() == [[-0.2, 52.1], [0.0, 52.1], [0.0, 52.2], [-0.2, 52.2], [-0.2, 52.1]]
    assert rings[4, 0].tolist() == [0.0, 52.2]  # row 1, column 1: 0.2 - 0.2 is exactly 0 in decimals
    assert rings[5, 2].tolist() == [0.4, 52.3]
    assert (rings[0, 1] == rings[1, 0]).all()  # neighbours share their corners
    x, y = rings[:, :, 0], rings[:, :, 1]
    twice = (x[:, :-1] * y[:, 1:] - x[:, 1:] * y[:, :-1]).sum(axis=1)
    assert twice == pytest.approx(np.full(6, 0.04))  # shoelace formula: positive = anticlockwise
