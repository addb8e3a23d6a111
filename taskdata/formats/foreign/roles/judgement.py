"""What a layer was judged to be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

import shapely
from numpy.typing import NDArray

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


def shapes_of(geometries: NDArray[Any]) -> Iterator[Shape]:
    """Yield the shape of each geometry that is there, of a collection those of its members."""
    for geometry, kind in zip(geometries, shapely.get_type_id(geometries).tolist(), strict=True):
        if kind == shapely.GeometryType.GEOMETRYCOLLECTION:
            yield from dict.fromkeys(shapes_of(shapely.get_parts(geometry)))
        elif kind >= 0:
            yield _SHAPES[shapely.GeometryType(kind)]


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
    """

    kind: ItemKind
    confidence: float
    why: str
    columns: Mapping[ColumnRole, tuple[str, ...]] = field(default_factory=dict)
    width_m: float | None = None
