"""The positions of a column of points, without a shape for each."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pyarrow as pa
import shapely
from numpy.typing import NDArray

from taskdata.formats.geometries import fixed_size_wkb
from taskdata.formats.geometries.decoding import shapes_in
from taskdata.formats.spooling import a_few
from taskdata.geometry.arrays import Points
from taskdata.mapped import large_array


class PointColumn(NamedTuple):
    """Positions (n, 2), NaN where a row has none, and heights (n,), None where no row has one."""

    places: Points
    up_m: NDArray[np.float64] | None


def point_column(column: pa.ChunkedArray) -> PointColumn | None:
    """Return the positions of a column of well-known binary, None where a row is no point, or no row has one."""
    places = large_array((len(column), 2), "f8")
    heights: dict[int, NDArray[np.float64]] = {}
    first, there = 0, False
    for chunk in a_few(column.chunks):
        last = first + len(chunk)
        found = fixed_size_wkb.coordinates(chunk)
        if found is None:
            shapes = shapes_in(chunk)
            known = ~shapely.is_missing(shapes)
            if not (shapely.get_type_id(shapes[known]) == shapely.GeometryType.POINT).all():
                return None
            there |= bool(known.any())
            if shapely.has_z(shapes).any():
                heights[first] = shapely.get_z(shapes)
            found = np.column_stack([shapely.get_x(shapes), shapely.get_y(shapes)])
        else:
            there |= chunk.null_count < len(chunk)
        places[first:last] = found
        first = last
    return PointColumn(places, _together(heights, len(column))) if there else None


def _together(heights: dict[int, NDArray[np.float64]], count: int) -> NDArray[np.float64] | None:
    if not heights:
        return None
    up = np.full(count, np.nan)
    for first, values in heights.items():
        up[first : first + len(values)] = values
    return up
