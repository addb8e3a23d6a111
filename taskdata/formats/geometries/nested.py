"""One geometry from nested lists of positions, with patience: what can be read is, and what cannot is named.

The lists are those of GeoJSON (RFC 7946 section 3.1); damaged well-known binary and native columns of GeoParquet are
brought into the same shape. Rings and lines that are too short are kept here, since whether they have a shape is a
question of places and not of lists.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from typing import Any, TypeAlias

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.errors import UnfitError

DEPTHS = {
    "Point": 0,
    "LineString": 1,
    "Polygon": 2,
    "MultiPoint": 1,
    "MultiLineString": 2,
    "MultiPolygon": 3,
}
"""How many lists stand round the positions of a geometry, by its name."""

COLLECTION = "GeometryCollection"
_NUMBER = re.compile(r"\s*-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?\s*")
_NO_POSITION = "a position is not a list of two or three numbers"
_NESTING = "its coordinates are not nested as its type asks"
_EMPTY = "the list of positions is empty"

Position: TypeAlias = tuple[float, float, float]
"""Longitude or east, latitude or north, and height; the height is NaN where there is none."""


@dataclass
class Notes:
    """What was wrong in a geometry that was read all the same.

    Parameters
    ----------
    left_out : list of str
        For each part that is left out which one it is, and why.
    closed : int
        How many rings did not end where they began.
    texts : bool
        A number stood there as text.
    longer : bool
        Positions have values after the height.
    """

    left_out: list[str] = field(default_factory=list)
    closed: int = 0
    texts: bool = False
    longer: bool = False


def shape(geometry: object, notes: Notes) -> Any:
    """Return a shapely geometry of an object with ``type`` and ``coordinates``; None where it holds nothing.

    Raises
    ------
    UnfitError
        It is no geometry, or a coordinate in it is no number.
    """
    if not isinstance(geometry, Mapping):
        raise UnfitError("it is not an object with a type")
    kind = geometry.get("type")
    if kind == COLLECTION:
        members = geometry.get("geometries")
        if not isinstance(members, Sequence) or isinstance(members, str):
            raise UnfitError("it has no list of geometries")
        found = _parts(members, lambda member: shape(member, notes), notes)
        return shapely.GeometryCollection(found) if found else None
    if not isinstance(kind, str) or kind not in DEPTHS:
        raise UnfitError("its type is missing" if kind is None else f"the type {kind!r} is unknown")
    if "coordinates" not in geometry:
        raise UnfitError("it has no coordinates")
    coordinates = geometry["coordinates"]
    return None if coordinates is None or coordinates == [] else _SHAPES[kind](coordinates, notes)


def _list(value: object) -> Sequence[Any]:
    if not isinstance(value, list | tuple):
        raise UnfitError(_NESTING)
    return value


def _number(value: object, notes: Notes) -> float:
    if isinstance(value, str) and _NUMBER.fullmatch(value):
        notes.texts = True
        return float(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnfitError(_NO_POSITION)
    try:
        return float(value)
    except OverflowError:
        raise UnfitError("a number in it is too large for a position") from None


def _position(value: object, notes: Notes) -> Position:
    if not isinstance(value, list | tuple) or len(value) < 2:
        raise UnfitError(_NO_POSITION)
    notes.longer = notes.longer or len(value) > 3
    x, y = (_number(item, notes) for item in value[:2])
    height = math.nan if len(value) < 3 or value[2] is None else _number(value[2], notes)
    return x, y, height


def _array(positions: Sequence[Position]) -> Any:
    array = np.array(positions, dtype=np.float64)
    return array[:, :2] if np.isnan(array[:, 2]).all() else array


def _point(value: object, notes: Notes) -> Any:
    if value in ([], ()):
        raise UnfitError(_EMPTY)
    return shapely.Point(_array([_position(value, notes)])[0])


def _line(value: object, notes: Notes) -> Any:
    positions = [_position(item, notes) for item in _list(value)]
    if not positions:
        raise UnfitError(_EMPTY)
    return shapely.LineString(_array(positions if len(positions) > 1 else positions * 2))


def _ring(value: object, notes: Notes) -> Any:
    positions = [_position(item, notes) for item in _list(value)]
    if not positions:
        return None
    if positions[0][:2] != positions[-1][:2]:
        notes.closed += len({position[:2] for position in positions}) > 2
        positions.append(positions[0])
    positions[-1] = positions[0]
    positions += positions[-1:] * (4 - len(positions))
    array = _array(positions)
    if array.shape[1] > 2:  # a ring whose first height is NaN is none that ends where it began
        array[:, 2] = np.nan_to_num(array[:, 2])
    return shapely.LinearRing(array)


def _polygon(value: object, notes: Notes) -> Any:
    rings = [_ring(item, notes) for item in _list(value)]
    if not rings:
        raise UnfitError(_EMPTY)
    if rings[0] is None:
        raise UnfitError("the outline is empty")
    notes.left_out += ["a hole is empty" for ring in rings[1:] if ring is None]
    return shapely.Polygon(rings[0], [ring for ring in rings[1:] if ring is not None])


def _parts(values: Sequence[Any], build: Callable[[Any], Any], notes: Notes) -> list[Any]:
    """Return the parts of a geometry that can be built; the others are noted.

    Raises
    ------
    UnfitError
        None of them can.
    """
    found, errors = [], []
    for number, value in enumerate(values, 1):
        try:
            built = build(value)
        except UnfitError as error:
            errors.append(f"of part {number} {error}")
            continue
        if built is None:
            errors.append(f"part {number} is empty")
        else:
            found.append(built)
    if errors and not found:
        raise UnfitError(errors[0])
    notes.left_out += errors
    return found


def _multi(build: Callable[[Any, Notes], Any], whole: Callable[[list[Any]], Any]) -> Callable[[Any, Notes], Any]:
    def several(value: object, notes: Notes) -> Any:
        return whole(_parts(_list(value), lambda part: build(part, notes), notes))

    return several


_SHAPES: dict[str, Callable[[Any, Notes], Any]] = {
    "Point": _point,
    "LineString": _line,
    "Polygon": _polygon,
    "MultiPoint": _multi(_point, shapely.MultiPoint),
    "MultiLineString": _multi(_line, shapely.MultiLineString),
    "MultiPolygon": _multi(_polygon, shapely.MultiPolygon),
}
