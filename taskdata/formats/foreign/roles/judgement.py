"""What a layer was judged to be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from enum import StrEnum
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.results.survey import ColumnRole, ItemKind


class Shape(StrEnum):
    """What the rows of a layer are drawn as; a layer may hold rows of each."""

    POLYGON = "polygon"
    LINE = "line"
    POINT = "point"


_SHAPES = {
    shapely.GeometryType.POINT: Shape.POINT,
    shapely.GeometryType.MULTIPOINT: Shape.POINT,
    shapely.GeometryType.LINESTRING: Shape.LINE,
    shapely.GeometryType.LINEARRING: Shape.LINE,
    shapely.GeometryType.MULTILINESTRING: Shape.LINE,
    shapely.GeometryType.POLYGON: Shape.POLYGON,
    shapely.GeometryType.MULTIPOLYGON: Shape.POLYGON,
}


def shape_of(geometry: Any) -> Shape:
    """Return the shape of a geometry that is no collection."""
    return _SHAPES[shapely.GeometryType(shapely.get_type_id(geometry))]


def parts_of(geometries: NDArray[Any]) -> dict[Shape, NDArray[Any]]:
    """Return the geometries of each shape, those of collections as their members, in the order they stand."""
    kinds = shapely.get_type_id(geometries)
    there = geometries[(kinds >= 0) & ~shapely.is_empty(geometries)]
    while (shapely.get_type_id(there) == shapely.GeometryType.GEOMETRYCOLLECTION).any():
        there = np.concatenate([_members(geometry) for geometry in there])
    shapes = np.array([_SHAPES[shapely.GeometryType(kind)] for kind in shapely.get_type_id(there)], dtype=object)
    return {shape: there[shapes == shape] for shape in Shape if (shapes == shape).any()}


def _members(geometry: Any) -> NDArray[Any]:
    if geometry.geom_type != "GeometryCollection":
        return np.array([geometry], dtype=object)
    parts = np.asarray(shapely.get_parts(geometry), dtype=object)
    kept: NDArray[Any] = parts[~shapely.is_empty(parts)]
    return kept


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the rows of one shape in a layer most likely are.

    Parameters
    ----------
    kind : ItemKind
        What they are.
    confidence : float
        0 to 1.
    why : str
        What it was concluded from, a sentence without its full stop.
    columns : mapping of ColumnRole to tuple of str
        Which columns hold what.
    width_m : float or None
        Width that a swath works, in metres, where a column says it.
    log : object or None
        Its positions as a log, where that was needed to judge it; for `foreign_layers` alone.
    """

    kind: ItemKind
    confidence: float
    why: str
    columns: Mapping[ColumnRole, tuple[str, ...]] = field(default_factory=dict)
    width_m: float | None = None
    log: object | None = field(default=None, repr=False, compare=False)
