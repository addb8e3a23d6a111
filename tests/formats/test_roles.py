"""What layers of other programs are, and which of their columns holds what."""

from __future__ import annotations

from typing import Any

import pyarrow as pa
import shapely

from taskdata.formats.base import RawTable
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.roles.judgement import Shape
from taskdata.formats.foreign.roles.judging import judge, judge_shapes
from taskdata.results.survey import ItemKind

FIELD = shapely.box(9.0, 52.0, 9.005, 52.003)
LINE = shapely.LineString([(9.0, 52.001), (9.005, 52.001)])


def layer(name: str, shapes: list[Any], **columns: list[Any]) -> RawTable:
    """Return a layer of another program with a column for each list."""
    geometry = pa.array([None if shape is None else shapely.to_wkb(shape) for shape in shapes], pa.binary())
    return RawTable(name, f"{name}.shp", pa.table({**columns, "geometry": geometry}))


def test_a_layer_of_several_shapes_is_judged_shape_by_shape() -> None:
    both = shapely.GeometryCollection([FIELD, LINE])
    raw = layer("all", [LINE, LINE, both, shapely.Point(9.0, 52.0), None])
    found = judge_shapes({"all": raw}, TakeOptions())["all"]
    assert {shape: part.kind for shape, part in found.items()} == {
        Shape.LINE: ItemKind.GUIDANCE,
        Shape.POLYGON: ItemKind.FIELD,
        Shape.POINT: ItemKind.POINT,
    }
    assert judge({"all": raw}, TakeOptions())["all"].kind is ItemKind.GUIDANCE


def test_a_layer_without_shapes_is_something_else() -> None:
    empty = RawTable("list", "list.csv", pa.table({"name": ["Breite"]}))
    assert judge({"list": empty, "none": layer("none", [None])}, TakeOptions())["list"].kind is ItemKind.OTHER
