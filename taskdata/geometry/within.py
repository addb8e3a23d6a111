"""Which of many places lie on ground with very many corners."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.geometry.arrays import Points

_MANY = 10_000
"""Corners from which ground is turned."""


class Within:
    """Ground that is asked again and again which places lie on it.

    Edges are looked at where they pass beside a place, in the direction of the first axis. So ground is turned until
    most of its edges run along that axis: of passes to and fro few then do, and each is found in a fifth of the time.

    Parameters
    ----------
    ground : Polygon or MultiPolygon
        Metres of a plane.
    """

    def __init__(self, ground: Any) -> None:
        corners = shapely.get_coordinates(ground)
        self._turn = _turning(corners) if len(corners) >= _MANY else None
        self._ground = ground if self._turn is None else shapely.transform(ground, lambda points: points @ self._turn)
        shapely.prepare(self._ground)

    def __call__(self, places: Points) -> NDArray[np.bool_]:
        """Return which of (..., 2) places lie on the ground, (...)."""
        laid = places if self._turn is None else places @ self._turn
        return np.asarray(shapely.contains_xy(self._ground, laid[..., 0], laid[..., 1]))


def _turning(corners: Points) -> NDArray[np.float64]:
    """Return the matrix that turns the main direction of edges along the first axis, by doubled angles."""
    east, north = np.diff(corners, axis=0).T
    size = np.hypot(east, north)
    size[size == 0.0] = 1.0
    along, across = float(((east**2 - north**2) / size).sum()), float((2.0 * east * north / size).sum())
    angle = np.arctan2(across, along) / 2.0
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
