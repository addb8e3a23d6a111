"""The polygons of a source that are as large as fields, found by where they lie."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.formats.foreign.roles.ground_facts import sampled
from taskdata.geometry.metres import degree_metres

FIELD_M2 = 2_000.0
"""From the size of a vegetable plot on (common practice)."""

_BESIDE_DEG = 1e-4
"""About 10 m: what stands at the edge of a field is beside it."""

_MOST_ROWS = 2_000
_MOST = 500


class Surroundings:
    """The polygons of several layers.

    Parameters
    ----------
    polygons : mapping of str to ndarray of geometry
        Those of each layer, in degrees. A layer of very many is none of fields.
    """

    def __init__(self, polygons: Mapping[str, NDArray[Any]]) -> None:
        found = {name: _as_large_as_fields(rows) for name, rows in polygons.items() if len(rows) <= _MOST_ROWS}
        self._shapes = np.concatenate([*found.values(), np.empty(0, dtype=object)])
        self._owners = np.array([name for name, rows in found.items() for _ in rows], dtype=object)
        self._tree = shapely.STRtree(self._shapes)

    def about(self, name: str, geometries: NDArray[Any]) -> NDArray[Any] | None:
        """Return the polygons of other layers that rows of a layer lie in or beside; None where others have none."""
        if not (self._owners != name).any():
            return None
        bounds = shapely.bounds(sampled(geometries)) + _BESIDE_DEG * np.array([-1.0, -1.0, 1.0, 1.0])
        boxes = shapely.box(*bounds[np.isfinite(bounds).all(axis=1)].T)
        near = np.unique(self._tree.query(boxes)[1])
        shapes: NDArray[Any] = self._shapes[near[self._owners[near] != name]]
        return shapes[:_MOST]


def _as_large_as_fields(polygons: NDArray[Any]) -> NDArray[Any]:
    """Return the polygons of such a size; what has no size, as of coordinates that are no numbers, is none of them."""
    bounds = shapely.bounds(polygons)
    with np.errstate(invalid="ignore", over="ignore"):
        east, north = degree_metres((bounds[:, 1] + bounds[:, 3]) / 2.0)
        large: NDArray[Any] = polygons[shapely.area(polygons) * east * north >= FIELD_M2]
    return large
