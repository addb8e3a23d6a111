"""Columns that are called alike, or not at all, are all read."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from taskdata.formats.distinct_names import distinct_names
from taskdata.formats.read import read
from tests.formats.raw_layers import SQUARE, geopackage, shape_record, shapefile, wkb


@pytest.mark.parametrize(
    ("names", "told_apart"),
    [
        (["a", "b"], ["a", "b"]),
        (["a", "a", "a"], ["a", "a_2", "a_3"]),
        (["a", "a_2", "a"], ["a", "a_2", "a_3"]),
        (["", " ", "column"], ["column", "column_2", "column_3"]),
        (["geometry", "a"], ["geometry_2", "a"]),
    ],
)
def test_each_stands_once_and_the_first_keeps_its_name(names: list[str], told_apart: list[str]) -> None:
    assert distinct_names(names, ["geometry"]) == told_apart


def test_a_column_called_as_the_geometry_is_here_is_kept(tmp_path: Path) -> None:
    path = geopackage(tmp_path / "plots.gpkg", wkb("Polygon", [SQUARE]))
    with closing(sqlite3.connect(path)) as base, base:
        base.execute("alter table plots add column geometry text")
        base.execute("update plots set geometry = 'lehmig'")
    assert read(path).tables["plots"].table["geometry_2"].to_pylist() == ["lehmig"]


def test_fields_of_a_shapefile_that_are_called_alike(tmp_path: Path) -> None:
    path = shapefile(tmp_path / "plots.shp", [shape_record([SQUARE[::-1]])])
    table = bytearray(path.with_suffix(".dbf").read_bytes())
    table[8:10], table[10:12] = (97).to_bytes(2, "little"), (21).to_bytes(2, "little")
    field = bytes(table[32:64])
    path.with_suffix(".dbf").write_bytes(
        bytes(table[:32]) + field * 2 + b"\r" + b" " + b"n1".ljust(10) + b"n2".ljust(10)
    )
    (row,) = read(path).tables["plots"].table.drop(["geometry"]).to_pylist()
    assert list(row.values()) == ["n1", "n2"]


def test_columns_of_parquet_that_are_called_alike(tmp_path: Path) -> None:
    rows = [pa.array(["Kuhle"]), pa.array([wkb("Polygon", [SQUARE])]), pa.array([24.0]), pa.array([12.0])]
    pq.write_table(pa.Table.from_arrays(rows, ["name", "geometry", "rate", "rate"]), tmp_path / "plots.parquet")
    (row,) = read(tmp_path / "plots.parquet").tables["plots"].table.drop(["geometry"]).to_pylist()
    assert row == {"name": "Kuhle", "rate": 24.0, "rate_2": 12.0}
