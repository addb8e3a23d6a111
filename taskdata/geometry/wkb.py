"""Well-known binary (OGC 06-103r4, section 8), built from arrays and read back into arrays.

Little-endian, ISO type codes: 1 to 6, with heights 1001 to 1006. An (n, 2) array gives records without heights, an
(n, 3) array records with them; NaN heights are kept. Rings are closed on writing. What is None, has no points, or (for
a point) has a coordinate that is NaN, gives None.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from struct import pack
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from taskdata.errors import SourceError

POINT, LINE_STRING, POLYGON, MULTI_POINT, MULTI_LINE_STRING, MULTI_POLYGON, COLLECTION = range(1, 8)
_HEIGHT = 1000
_TYPE_CODES = {
    "Point": POINT,
    "LineString": LINE_STRING,
    "Polygon": POLYGON,
    "MultiPoint": MULTI_POINT,
    "MultiLineString": MULTI_LINE_STRING,
    "MultiPolygon": MULTI_POLYGON,
    "GeometryCollection": COLLECTION,
}

Record: TypeAlias = bytes | None
PolygonLike: TypeAlias = tuple[ArrayLike, Iterable[ArrayLike]]
"""An exterior ring and its interior rings."""


class Geometry(NamedTuple):
    """One geometry as arrays.

    ``code`` is the type code without heights. ``parts`` holds, by code: for points one (n, 2) or (n, 3) array; for
    line strings an array each; for polygons a pair (exterior, interiors) each, rings closed; for a collection a
    `Geometry` each.
    """

    code: int
    parts: list[Any]


def points_wkb(points: ArrayLike) -> list[Record]:
    """Return a record for each point.

    Parameters
    ----------
    points : array_like
        (n, 2) or (n, 3).

    Returns
    -------
    list of bytes or None
        21 bytes each, with heights 29.
    """
    data, valid = point_records(points)
    size = data.shape[1]
    whole = data.tobytes()
    records: list[Record] = [whole[start : start + size] for start in range(0, len(whole), size)]
    for row in np.flatnonzero(~valid):
        records[row] = None
    return records


def point_records(points: ArrayLike) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Return the records of points as one block of memory, the fast way into a column of fixed-size binary.

    Parameters
    ----------
    points : array_like
        (n, 2) or (n, 3).

    Returns
    -------
    data : ndarray
        (n, 21) uint8, with heights (n, 29), C-contiguous.
    valid : ndarray
        (n,) bool, False where the point is empty.
    """
    array = _coordinates(points)
    width = array.shape[1]
    records = np.empty(len(array), dtype=[("order", "u1"), ("code", "<u4"), ("xyz", "<f8", (width,))])
    records["order"] = 1
    records["code"] = _code(POINT, width)
    records["xyz"] = array
    valid = np.logical_not(np.isnan(array[:, :2]).any(axis=1))

    return records.view(np.uint8).reshape(len(array), records.dtype.itemsize), valid


def multi_points_wkb(groups: Iterable[ArrayLike | None]) -> list[Record]:
    """Return a multi-point record for each (n, 2) or (n, 3) array of points; empty points are left out."""
    return [_multi(MULTI_POINT, [] if points is None else points_wkb(points)) for points in groups]


def lines_wkb(lines: Iterable[ArrayLike | None]) -> list[Record]:
    """Return a line string record for each (n, 2) or (n, 3) array."""
    return [None if line is None else _line(_coordinates(line)) for line in lines]


def multi_lines_wkb(groups: Iterable[Sequence[ArrayLike] | None]) -> list[Record]:
    """Return a multi-line string record for each sequence of (n, 2) or (n, 3) arrays."""
    return [_multi(MULTI_LINE_STRING, [_line(_coordinates(line)) for line in group or ()]) for group in groups]


def polygons_wkb(polygons: Iterable[PolygonLike | None]) -> list[Record]:
    """Return a polygon record for each pair (exterior, interiors) of (n, 2) or (n, 3) arrays."""
    return [None if polygon is None else _polygon(polygon) for polygon in polygons]


def multi_polygons_wkb(groups: Iterable[Sequence[PolygonLike] | None]) -> list[Record]:
    """Return a multi-polygon record for each sequence of pairs (exterior, interiors)."""
    return [_multi(MULTI_POLYGON, [_polygon(polygon) for polygon in group or ()]) for group in groups]


def read_points(records: Sequence[Record]) -> NDArray[np.float64]:
    """Return points from their records.

    Parameters
    ----------
    records : sequence of bytes or None
        Points only.

    Returns
    -------
    ndarray
        (n, 2) float64, or (n, 3) when a record has a height; NaN for None and empty points.

    Raises
    ------
    SourceError
        When a record is no point or no well-known binary.
    """
    shapes = _shapes(records)
    points = np.asarray(shapely.get_type_id(shapes)) == shapely.GeometryType.POINT
    if not (points | np.asarray(shapely.is_missing(shapes))).all():
        raise SourceError("A geometry is not a point", remedy="Give a layer of points.")
    x, y = shapely.get_x(shapes), shapely.get_y(shapes)
    columns = [x, y, shapely.get_z(shapes)] if bool(np.any(shapely.has_z(shapes))) else [x, y]
    return np.column_stack(columns)


def read(records: Sequence[Record]) -> list[Geometry | None]:
    """Return geometries from their records.

    Parameters
    ----------
    records : sequence of bytes or None
        Any type of OGC 06-103r4 up to geometry collections, either byte order, with or without heights.

    Returns
    -------
    list of Geometry or None
        None for None and for empty geometry.

    Raises
    ------
    SourceError
        When a record is no well-known binary or a type without straight edges.
    """
    return [_geometry(shape) for shape in _shapes(records)]


def _shapes(records: Sequence[Record]) -> NDArray[Any]:
    column = np.empty(len(records), dtype=object)
    column[:] = records
    try:
        return np.asarray(shapely.from_wkb(column), dtype=object)
    except (shapely.GEOSException, TypeError) as cause:
        raise SourceError(
            "A geometry cannot be read as well-known binary",
            why=str(cause),
            remedy="The file is damaged or holds curves; save it again with straight edges.",
        ) from cause


def _geometry(shape: Any) -> Geometry | None:
    if shape is None or shape.is_empty:
        return None
    code = _TYPE_CODES[shape.geom_type]
    if code in (POINT, MULTI_POINT):
        return Geometry(code, [_array(shape)])
    members = [part for part in shapely.get_parts(shape) if not part.is_empty]
    if code in (LINE_STRING, MULTI_LINE_STRING):
        return Geometry(code, [_array(part) for part in members])
    if code in (POLYGON, MULTI_POLYGON):
        return Geometry(code, [(_array(part.exterior), [_array(ring) for ring in part.interiors]) for part in members])
    return Geometry(code, [_geometry(part) for part in members])


def _array(shape: Any) -> NDArray[np.float64]:
    return np.asarray(shapely.get_coordinates(shape, include_z=bool(shape.has_z)), dtype=np.float64)


def _coordinates(points: ArrayLike) -> NDArray[np.float64]:
    """Return an (n, 2) or (n, 3) array, (0, 2) for no points."""
    array = np.asarray(points, dtype=np.float64)
    if array.size == 0:
        return np.empty((0, 2))
    if array.ndim != 2 or array.shape[1] not in (2, 3):
        raise ValueError(f"expected an (n, 2) or (n, 3) array of points, got shape {array.shape}")
    return array


def _code(code: int, width: int) -> int:
    return code + _HEIGHT if width == 3 else code


def _header(code: int, width: int, count: int) -> bytes:
    return pack("<BII", 1, _code(code, width), count)


def _bytes(points: NDArray[np.float64]) -> bytes:
    return np.ascontiguousarray(points, dtype="<f8").tobytes()


def _line(points: NDArray[np.float64]) -> Record:
    if len(points) == 0:
        return None
    return _header(LINE_STRING, points.shape[1], len(points)) + _bytes(points)


def _polygon(polygon: PolygonLike) -> Record:
    exterior, interiors = polygon
    rings = [_closed(_coordinates(exterior)), *(_closed(_coordinates(ring)) for ring in interiors)]
    if len(rings[0]) == 0:
        return None
    rings = [ring for ring in rings if len(ring)]
    width = rings[0].shape[1]
    if any(ring.shape[1] != width for ring in rings):
        raise ValueError("some rings of a polygon have heights and some have none")
    return _header(POLYGON, width, len(rings)) + b"".join(pack("<I", len(ring)) + _bytes(ring) for ring in rings)


def _closed(ring: NDArray[np.float64]) -> NDArray[np.float64]:
    if len(ring) == 0 or np.array_equal(ring[0], ring[-1], equal_nan=True):
        return ring if len(ring) != 1 else np.vstack([ring, ring])
    return np.vstack([ring, ring[:1]])


def _multi(code: int, members: Sequence[Record]) -> Record:
    """Return one record of several, all of them with heights or all without."""
    full = [member for member in members if member is not None]
    if not full:
        return None
    heights = {int.from_bytes(member[1:5], "little") > _HEIGHT for member in full}
    if len(heights) > 1:
        raise ValueError("some parts of a geometry have heights and some have none")
    return _header(code, 3 if heights == {True} else 2, len(full)) + b"".join(full)
