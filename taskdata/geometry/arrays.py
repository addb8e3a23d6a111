"""The one shape everything in this folder works on: float64 arrays of points, a row a point."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points: TypeAlias = NDArray[np.float64]
"""(n, 2) float64: longitude and latitude in degrees WGS 84, or metres, as the function says."""

Floats: TypeAlias = NDArray[np.float64]
"""(n,) float64."""

Whole = TypeVar("Whole", bound=np.generic)

Rings: TypeAlias = Iterable[ArrayLike]
"""Several rings, each something that makes an (n, 2) array."""


def dots(one: NDArray[np.float64], other: NDArray[np.float64]) -> Floats:
    """Return the products of (..., 2) vectors with each other; several times as fast as a sum over so short an axis."""
    return np.asarray(one[..., 0] * other[..., 0] + one[..., 1] * other[..., 1])


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


def median(values: NDArray[np.generic]) -> NDArray[np.float64]:
    """Return the median of numbers, or of each column of rows; there is at least one, and each is finite.

    ``np.median`` finds the same and loads numpy's arrays with masks for it, which takes as long as a small set.
    """
    low, high = (len(values) - 1) // 2, len(values) // 2
    ordered = np.partition(values, (low, high), axis=0)
    return np.asarray((ordered[low] + ordered[high]) / 2.0)


def distinct(numbers: NDArray[Whole]) -> NDArray[Whole]:
    """Return the different whole numbers of an array in ascending order.

    As for the median, ``np.unique`` is slow to load.
    """
    ordered = np.sort(numbers, axis=None)
    first = np.ones(len(ordered), np.bool_)
    first[1:] = ordered[1:] != ordered[:-1]
    return ordered[first]
