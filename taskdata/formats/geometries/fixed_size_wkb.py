"""Columns of well-known binary (OGC 06-103r4, section 8) for very many points or boxes, built as one block."""

from __future__ import annotations

import struct

import numpy as np
import pyarrow as pa
from numpy.typing import NDArray

POINT, POLYGON = 1, 3
_BOX = np.dtype(
    [("order", "u1"), ("code", "<u4"), ("rings", "<u4"), ("count", "<u4"), ("corners", "<f8", (5, 2))], align=False
)
_POSITION = struct.Struct("<BIdd")
_POINT = np.dtype([("order", "u1"), ("code", "<u4"), ("corners", "<f8", (1, 2))], align=False)


def points(lon: NDArray[np.float64], lat: NDArray[np.float64], valid: NDArray[np.bool_] | None = None) -> pa.Array:
    """Return a point for each pair of coordinates, null where one is not a number, or where ``valid`` is False."""
    records = np.empty(len(lon), dtype=_POINT)
    records["order"], records["code"] = 1, POINT
    records["corners"][:, 0, 0], records["corners"][:, 0, 1] = lon, lat
    known = ~(np.isnan(lon) | np.isnan(lat)) if valid is None else valid
    return binary(records.view(np.uint8).reshape(len(lon), _POINT.itemsize), known)


def position(lon: float, lat: float) -> bytes:
    """Return one point of two numbers, much faster than by way of a shape."""
    return _POSITION.pack(1, POINT, lon, lat)


def boxes(
    west: NDArray[np.float64], south: NDArray[np.float64], east: NDArray[np.float64], north: NDArray[np.float64]
) -> pa.Array:
    """Return a polygon for each box of degrees, counter-clockwise from its south-west corner."""
    records = np.empty(len(west), dtype=_BOX)
    records["order"], records["code"], records["rings"], records["count"] = 1, POLYGON, 1, 5
    for corner, (x, y) in enumerate(((west, south), (east, south), (east, north), (west, north), (west, south))):
        records["corners"][:, corner, 0] = x
        records["corners"][:, corner, 1] = y
    data = records.view(np.uint8).reshape(len(west), _BOX.itemsize)
    return binary(data, np.ones(len(west), dtype=np.bool_))


def binary(data: NDArray[np.uint8], valid: NDArray[np.bool_]) -> pa.Array:
    """Return records of equal length as an Arrow binary array.

    Parameters
    ----------
    data : uint8 (n, size)
    valid : bool (n,)
        False makes a null.
    """
    count, size = data.shape
    offsets = np.arange(count + 1, dtype=np.int64) * size
    bits = None if valid.all() else pa.py_buffer(np.packbits(valid, bitorder="little"))
    array = pa.Array.from_buffers(
        pa.large_binary(), count, [bits, pa.py_buffer(offsets), pa.py_buffer(np.ascontiguousarray(data))]
    )
    return array.cast(pa.binary()) if count * size < 2**31 else array


def coordinates(array: pa.Array) -> NDArray[np.float64] | None:
    """Return the coordinates of a column of nothing but points and nulls, whoever made it.

    Returns
    -------
    float64 (n, 2) or None
        NaN where a row is null; a view of the column where none is. None where a row is anything else.
    """
    if not len(array):
        return np.empty((0, 2))
    if not (pa.types.is_binary(array.type) or pa.types.is_large_binary(array.type)):
        return None
    width = np.int64 if pa.types.is_large_binary(array.type) else np.int32
    _, offsets, data = array.buffers()
    bounds = np.frombuffer(offsets, width)[array.offset : array.offset + len(array) + 1]
    valid = array.is_valid().to_numpy(zero_copy_only=False)
    sizes = np.diff(bounds)
    stored = sizes == _POINT.itemsize
    if data is None or not stored[valid].all() or not (stored | (sizes == 0)).all():
        return None
    rows = np.frombuffer(data, _POINT, count=int(stored.sum()), offset=int(bounds[0]))
    told = valid[stored]
    if not ((rows["order"][told] == 1).all() and (rows["code"][told] == POINT).all()):
        return None
    found: NDArray[np.float64] = rows["corners"].reshape(-1, 2)
    if valid.all():
        return found
    placed = np.full((len(array), 2), np.nan)
    placed[valid] = found[told]
    return placed


def unpacked(array: pa.Array) -> tuple[int, NDArray[np.float64]] | None:
    """Return the geometry code and all coordinates of a column that ``points`` or ``boxes`` made.

    Returns
    -------
    (int, float64 (n, 2)) or None
        None where the column is made otherwise, has nulls, or has no rows.
    """
    if array.null_count or not len(array):
        return None
    width = np.int64 if pa.types.is_large_binary(array.type) else np.int32
    _, offsets, data = array.buffers()
    bounds = np.frombuffer(offsets, width)[array.offset : array.offset + len(array) + 1]
    size = int(bounds[1] - bounds[0])
    record = {_POINT.itemsize: (_POINT, POINT), _BOX.itemsize: (_BOX, POLYGON)}.get(size)
    if record is None or not (np.diff(bounds) == size).all():
        return None
    rows = np.frombuffer(data, record[0], count=len(array), offset=int(bounds[0]))
    alike = (rows["order"] == 1).all() and (rows["code"] == record[1]).all()
    if alike and size == _BOX.itemsize:
        alike = (rows["rings"] == 1).all() and (rows["count"] == 5).all()
    return (record[1], rows["corners"].reshape(-1, 2)) if alike else None
