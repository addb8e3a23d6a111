"""The one shape everything in this folder works on: float64 arrays of points, a row a point."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points: TypeAlias = NDArray[np.float64]
"""(n, 2) float64: longitude and latitude in degrees WGS 84, or metres, as the function says."""

Floats: TypeAlias = NDArray[np.float64]
"""(n,) float64."""

Rings: TypeAlias = Iterable[ArrayLike]
"""Several rings, each something that makes an (n, 2) array."""


def as_points(points: ArrayLike) -> Points:
    """Return points as an (n, 2) float64 array, without a copy where they are one already.

    Parameters
    ----------
    points : array_like
        (n, 2), or empty, or (2,) for one point; further columns, such as a height, are left out.

    Returns
    -------
    Points
        (n, 2) float64.

    Raises
    ------
    ValueError
        When the input has no two columns.
    """
    array = np.asarray(points, dtype=np.float64)
    if array.size == 0:
        return np.empty((0, 2))
    if array.ndim == 1:
        array = array[np.newaxis]
    if array.ndim != 2 or array.shape[1] < 2:
        raise ValueError(f"expected an (n, 2) array of points, got shape {array.shape}")
    return array if array.shape[1] == 2 else array[:, :2]
