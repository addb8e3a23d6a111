"""Layers whose rows are made of areas: sizes and geometries of many at once, some at a time where points are many."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from itertools import islice
from typing import TypeVar

import pyarrow as pa

from taskdata.formats.columns import GEOMETRY, Layer, LayerSpec, LongLayer, Row, from_rows
from taskdata.formats.geometries.many_areas import multipolygons
from taskdata.geometry.geodesy import polygon_areas
from taskdata.model.shapes import Area
from taskdata.progress import each

Item = TypeVar("Item")

AREA = "area_m2"
"""The column of the area on the ellipsoid."""

AT_ONCE = 1 << 18
"""Points up to which all rows are made at once."""

_ROWS = 512


def layer_of_areas(
    spec: LayerSpec, items: Collection[Item], areas: Callable[[Item], Sequence[Area]], row: Callable[[Item], Row]
) -> Layer:
    """Return a layer with a row for each of several items.

    Parameters
    ----------
    spec : LayerSpec
        The layer; its column `AREA`, where it has one, and its geometry are those of the areas.
    items : collection
        What the rows are of.
    areas : callable
        Returns the areas of an item.
    row : callable
        Returns all else of its row.
    """
    if sum(_points(areas(item)) for item in items) <= AT_ONCE:
        return from_rows(spec, [found for rows in _rows(spec, items, areas, row) for found in rows])

    def tables() -> Iterator[pa.Table]:
        return (from_rows(spec, rows).table for rows in _rows(spec, items, areas, row))

    return LongLayer(spec, from_rows(spec, []).table.schema, len(items), tables)


def _points(areas: Sequence[Area]) -> int:
    return sum(len(ring) for area in areas for ring in (*area.exteriors, *area.interiors))


def _rows(
    spec: LayerSpec, items: Collection[Item], areas: Callable[[Item], Sequence[Area]], row: Callable[[Item], Row]
) -> Iterator[list[Row]]:
    """Yield the rows, some at a time."""
    waiting = iter(each(items, "Making layers", spec.name.replace("_", " ")))
    while some := list(islice(waiting, _ROWS)):
        found = [areas(item) for item in some]
        rows = [row(item) | {GEOMETRY: shape} for item, shape in zip(some, multipolygons(found), strict=True)]
        if AREA in spec.by_name:
            sizes = iter(
                polygon_areas([(area.exteriors, area.interiors) for parts in found for area in parts]).tolist()
            )
            rows = [item | {AREA: sum(islice(sizes, len(parts)))} for item, parts in zip(rows, found, strict=True)]
        yield rows
