"""Native geometry columns of GeoParquet: lists of positions as Arrow keeps them, without well-known binary.

GeoParquet 1.1.0, section "Native encodings (based on GeoArrow)": a point is a struct of its coordinates, a line a list
of those, a polygon a list of rings, each multi-part geometry a list of its parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray

from taskdata.errors import UnfitError
from taskdata.findings import Finding
from taskdata.formats.geometries.nested import DEPTHS
from taskdata.formats.geometries.ragged import Singly, at_once, in_halves

KINDS = {kind.lower(): kind for kind in DEPTHS}
"""Kinds of geometry by the name of their encoding."""


def records(column: pa.ChunkedArray, kind: str, file: str, label: str) -> tuple[pa.Array, list[Finding]]:
    """Return a native column as well-known binary, and what is wrong in its rows.

    Raises
    ------
    UnfitError
        The column is of another type.
    """
    whole = column.combine_chunks()
    array = whole if isinstance(whole, pa.Array) else pa.concat_arrays(whole.chunks)
    _check(array.type, DEPTHS[kind])
    findings: list[Finding] = []
    singly = Singly(file, label, findings)
    rows = np.flatnonzero(np.asarray(array.is_valid()))
    shapes = np.empty(len(array), dtype=object)

    def many(some: Sequence[int]) -> Any:
        part = array if len(some) == len(array) else array.take(pa.array(some, pa.int64()))
        levels, inner = _levels(part, DEPTHS[kind])
        return at_once(kind, _positions(inner), levels)

    def one(row: int) -> Any:
        coordinates = _nested(array[row].as_py(), DEPTHS[kind])
        return singly.built({"type": kind, "coordinates": coordinates}, row + 1)

    if len(rows):
        shapes[rows] = in_halves(rows.tolist(), many, one)
    return pa.array(shapely.to_wkb(shapes), pa.large_binary()), findings


def _check(kind: pa.DataType, depth: int) -> None:
    for _ in range(depth):
        if not (pa.types.is_list(kind) or pa.types.is_large_list(kind)):
            raise UnfitError(f"its column is of the type {kind}")
        kind = kind.value_type
    packed = pa.types.is_fixed_size_list(kind) and kind.list_size >= 2
    if not packed and not (pa.types.is_struct(kind) and {"x", "y"} <= {field.name for field in kind}):
        raise UnfitError(f"its positions are of the type {kind}")


def _levels(array: pa.Array, depth: int) -> tuple[list[NDArray[np.int64]], pa.Array]:
    """Return where the lists of each level begin and end, the outermost first, and the positions in them."""
    levels = []
    for _ in range(depth):
        if array.null_count:
            raise UnfitError("a list in it is missing")
        bounds = np.asarray(array.offsets, dtype=np.int64)
        levels.append(bounds - bounds[0])
        array = array.values.slice(int(bounds[0]), int(bounds[-1] - bounds[0]))
    return levels, array


def _positions(array: pa.Array) -> NDArray[np.float64]:
    """Return positions as (n, 2), or (n, 3) with heights; measures are left to the slow way, which tells them."""
    if array.null_count:
        raise UnfitError("a position is missing")
    if pa.types.is_fixed_size_list(array.type):
        size = array.type.list_size
        columns = list(np.asarray(array.flatten(), dtype=np.float64).reshape(-1, size).T)
    else:
        named = dict(zip((field.name for field in array.type), array.flatten(), strict=True))
        if any(part.null_count for part in named.values()):
            raise UnfitError("a coordinate is missing")
        columns = [np.asarray(named[name], dtype=np.float64) for name in ("x", "y", "z", "m") if name in named]
    if len(columns) > 3 or (pa.types.is_struct(array.type) and "m" in named):
        raise UnfitError("positions have measures")
    return np.column_stack(columns)


def _nested(value: Any, depth: int) -> Any:
    """Return a value of such a column as nested lists of positions; a measure comes after the height."""
    if depth and isinstance(value, list):
        return [_nested(item, depth - 1) for item in value]
    if not isinstance(value, dict):
        return value
    last = [value.get("z"), value["m"]] if "m" in value else [value["z"]] if "z" in value else []
    return [value["x"], value["y"], *last]
