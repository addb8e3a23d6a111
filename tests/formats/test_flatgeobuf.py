"""FlatGeobuf against its specification (flatgeobuf.org), decoded byte by byte, and GDAL as reader and writer.

The fields of the tables in a file (header.fbs, feature.fbs) are from memory of the published schema.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyogrio
import pytest
import shapely

from taskdata.errors import SourceError
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.detect import detect
from taskdata.formats.drivers.ogr import declared
from taskdata.formats.foreign.foreign_layers import plain
from taskdata.formats.layers.of_dataset import project
from taskdata.formats.read import read
from tests.formats.exchange import put, put_layers
from tests.formats.raw_layers import SQUARE, by_gdal, wkb
from tests.formats.valley import carried, dataset

MAGIC = bytes.fromhex("66676203666762")


@dataclass(frozen=True)
class Node:
    """A table of FlatBuffers: what its fields hold, found by way of its list of offsets."""

    content: bytes
    at: int

    @classmethod
    def root(cls, content: bytes) -> Node:
        return cls(content, struct.unpack_from("<I", content)[0])

    def place(self, field: int) -> int | None:
        offsets = self.at - struct.unpack_from("<i", self.content, self.at)[0]
        if 4 + 2 * field >= struct.unpack_from("<H", self.content, offsets)[0]:
            return None
        offset = struct.unpack_from("<H", self.content, offsets + 4 + 2 * field)[0]
        return self.at + offset if offset else None

    def number(self, field: int, kind: str, default: int) -> int:
        place = self.place(field)
        return default if place is None else int(struct.unpack_from(kind, self.content, place)[0])

    def vector(self, field: int, kind: str) -> tuple[Any, ...]:
        place = self.place(field)
        if place is None:
            return ()
        place += struct.unpack_from("<I", self.content, place)[0]
        count = struct.unpack_from("<I", self.content, place)[0]
        return struct.unpack_from(f"<{count}{kind}", self.content, place + 4)

    def child(self, field: int) -> Node | None:
        place = self.place(field)
        return None if place is None else Node(self.content, place + struct.unpack_from("<I", self.content, place)[0])


def parts(path: Path) -> tuple[Node, list[Node]]:
    """Header and features of a file without an index: each is its size in four bytes, then as many bytes."""
    content = path.read_bytes()
    assert content[:7] == MAGIC
    nodes, at = [], 8
    while at < len(content):
        size = struct.unpack_from("<I", content, at)[0]
        nodes.append(Node.root(content[at + 4 : at + 4 + size]))
        at += 4 + size
    assert at == len(content)
    return nodes[0], nodes[1:]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return put(dataset(), "flatgeobuf", tmp_path_factory.mktemp("fgb"), carried())[0]


def test_each_layer_is_a_file_as_the_specification_has_it(folder: Path) -> None:
    layers = {layer.name: layer for layer in project(dataset())}
    assert {path.stem for path in folder.glob("*.fgb")} >= {*layers, "carried_elements", "carried_files"}
    for name, layer in layers.items():
        header, features = parts(folder / f"{name}.fgb")
        assert bytes(header.vector(0, "B")).decode() == name
        assert header.number(8, "<Q", 0) == len(features) == layer.table.num_rows
        assert header.number(9, "<H", 16) == 0  # no index


def test_coordinates_stand_there_to_the_last_bit(folder: Path) -> None:
    (points,) = (layer for layer in project(dataset()) if layer.name == "points")
    wanted = shapely.get_coordinates(shapely.from_wkb(points.table[GEOMETRY].to_pylist()))
    _, features = parts(folder / "points.fgb")
    found = [shape.vector(1, "d") for feature in features if (shape := feature.child(0)) is not None]
    np.testing.assert_array_equal(np.array(found), wanted)


def test_gdal_reads_the_same_geometries(folder: Path) -> None:
    for layer in project(dataset()):
        info = pyogrio.read_info(folder / f"{layer.name}.fgb")
        assert (info["driver"], info["crs"]) == ("FlatGeobuf", "EPSG:4326")
        _, _, shapes, _ = pyogrio.raw.read(folder / f"{layer.name}.fgb")
        pairs = list(
            zip(shapely.from_wkb(shapes), shapely.from_wkb(declared(layer)[0][GEOMETRY].to_pylist()), strict=True)
        )
        assert len(pairs) == layer.table.num_rows
        for found, wanted in pairs:
            assert found is wanted is None or found.normalize().equals_exact(wanted.normalize())


@pytest.mark.parametrize("index", ["YES", "NO"])
def test_what_gdal_writes_is_read(index: str, tmp_path: Path) -> None:
    """A plain table in UTM 32 north, whose central meridian is 9 degrees, with and without the spatial index."""
    boxes = [shapely.box(500_000 + 1000 * k, 5_990_000, 500_100 + 1000 * k, 5_990_100) for k in range(5)]
    table = pa.table({"NAME": [f"Schlag {k}" for k in range(5)], "geometry": list(shapely.to_wkb(boxes))})
    options = {"geometry_name": "geometry", "geometry_type": "Polygon", "crs": "EPSG:25832"}
    pyogrio.write_arrow(
        table, tmp_path / "a.fgb", driver="FlatGeobuf", layer_options={"SPATIAL_INDEX": index}, **options
    )
    assert detect(tmp_path) == detect(tmp_path / "a.fgb") == "flatgeobuf"
    source = read(tmp_path)
    assert [datum.source for datum in source.datum] == ["ETRS89 / UTM zone 32N"]
    fields = {field.name: field for field in plain(source).fields}
    assert set(fields) == {f"Schlag {k}" for k in range(5)}
    assert fields["Schlag 0"].boundaries[0].exteriors[0][:, 0].min() == pytest.approx(9.0, abs=1e-9)


def test_a_row_without_a_shape_is_told_and_the_others_are_read(tmp_path: Path) -> None:
    square = wkb("Polygon", [SQUARE])
    by_gdal(tmp_path / "plots.fgb", square, None, square)
    data = plain(read(tmp_path / "plots.fgb"))
    assert [field.name for field in data.fields] == ["n1", "n3"]
    assert [f.facts["row"] for f in data.findings if f.rule.id == "import.no-geometry"] == [2]


def test_rows_that_are_not_there_are_told(tmp_path: Path) -> None:
    path = by_gdal(tmp_path / "plots.fgb", *(wkb("Polygon", [SQUARE]) for _ in range(4)))
    content = path.read_bytes()
    path.write_bytes(content[: len(content) - 10])
    source = read(path)
    (told,) = source.findings
    assert (told.rule.id, told.facts["count"], told.facts["total"]) == ("import.rows-missing", 3, 4)
    assert source.tables["plots"].table.num_rows == 3


@pytest.mark.parametrize(
    ("content", "why"),
    [(b"", "it is empty"), (b"id,WKT\n1,POINT (7 54)\n", "of another kind"), (MAGIC + b"\0", "damaged"), (None, "")],
)
def test_what_is_none_is_refused_in_a_line(content: bytes | None, why: str, tmp_path: Path) -> None:
    path = by_gdal(tmp_path / "plots.fgb", wkb("Polygon", [SQUARE]))
    older = bytearray(path.read_bytes())
    older[3] = 2  # a version of the format that is no longer read
    path.write_bytes(bytes(older) if content is None else content)
    with pytest.raises(SourceError, match="The FlatGeobuf file cannot be read") as caught:
        read(path)
    assert why in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_layer_without_rows_comes_back(tmp_path: Path) -> None:
    empty = [layer.__class__(layer.spec, layer.table.slice(0, 0)) for layer in project(dataset())][:1]
    path, losses = put_layers(empty, "flatgeobuf", tmp_path)
    assert losses == []
    assert read(path).tables["fields"].table.num_rows == 0
