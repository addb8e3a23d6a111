"""Which outlines of fields in several sets lie most alike.

Where many lie on one piece of ground, each looks at the few that are nearest in extent and order, and what is left over
looks again; so the work does not grow with the square of their number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

SAME_OUTLINE = 0.8
"""Share of the common area in the whole from which two outlines are the same field."""
SAME_OUTLINE_AND_NAME = 0.3
"""The same for two fields of one name."""

_NEAREST = 16
"""How many outlines of other sets one outline is compared with at a time."""
_BLOCK = 64
"""How many outlines look for others at a time."""


def common_share(here: Any, there: Any) -> float:
    """Return the share of the common area in the whole area of two valid outlines in degrees, 0 to 1."""
    return float(_shares(here, there))


def join_alike(
    outlines: Sequence[Any],
    names: Sequence[str],
    sets_of: Callable[[int], int],
    join: Callable[[int, int], bool],
) -> None:
    """Join outlines that lie on the same ground, those that lie most alike first.

    Parameters
    ----------
    outlines : sequence of geometry
        (n,) valid shapes in degrees.
    names : sequence of str
        (n,) names of their fields; less of the ground in common is enough where they are the same.
    sets_of : callable
        Returns the sets that hold an outline, by its index, as bits; it is joined with one that is in none of these.
    join : callable
        Joins the outlines of two indices, the lower one first, and returns whether it did.
    """
    shapes = np.empty(len(outlines), dtype=object)
    shapes[:] = outlines
    waiting = np.arange(len(shapes))
    called = np.array(names, dtype=object)
    while len(waiting):
        pairs, all_seen = _nearest(shapes, waiting, np.array([sets_of(index) for index in waiting.tolist()], object))
        ones, twos = pairs.T
        shares = _shares(shapes[ones], shapes[twos])
        alike = shares >= np.where(called[ones] == called[twos], SAME_OUTLINE_AND_NAME, SAME_OUTLINE)
        found = sorted(zip((-shares[alike]).tolist(), *pairs[alike].T.tolist(), strict=True))
        joined = {index for _, one, two in found if join(one, two) for index in (one, two)}
        if all_seen or not joined:
            return
        waiting = np.array([index for index in waiting.tolist() if index not in joined], dtype=np.intp)


def _nearest(shapes: NDArray[Any], waiting: NDArray[np.intp], sets: NDArray[Any]) -> tuple[NDArray[np.intp], bool]:
    """Return pairs (m, 2) of those that wait and meet, the lower index first, and whether these are all there are."""
    tree, boxes = shapely.STRtree(shapes[waiting]), shapely.bounds(shapes[waiting])
    kinds, places = np.unique([str(item) for item in sets], return_inverse=True)
    ranks = np.zeros(len(waiting), dtype=np.intp)
    for kind in range(len(kinds)):
        ranks[places == kind] = np.arange(int((places == kind).sum()))
    apart = np.array([[not one & two for two in _ints(kinds)] for one in _ints(kinds)])
    found, all_seen = [], True
    for start in range(0, len(waiting), _BLOCK):
        block = np.arange(start, min(start + _BLOCK, len(waiting)))
        ones, twos = tree.query(shapes[waiting[block]])
        ones = block[ones]
        free = (ones != twos) & apart[places[ones], places[twos]]
        ones, twos = ones[free], twos[free]
        if (np.bincount(ones - start, minlength=1) > _NEAREST).any():
            all_seen = False
            far = np.abs(boxes[ones] - boxes[twos]).sum(axis=1)
            order = np.lexsort((twos, np.abs(ranks[ones] - ranks[twos]), far, ones))
            ones, twos = ones[order], twos[order]
            _, begins, counts = np.unique(ones, return_index=True, return_counts=True)
            few = np.arange(len(ones)) - np.repeat(begins, counts) < _NEAREST
            ones, twos = ones[few], twos[few]
        found.append(np.column_stack([ones, twos]))
    pairs = np.unique(np.sort(waiting[np.vstack(found)], axis=1), axis=0)
    return pairs[shapely.intersects(shapes[pairs[:, 0]], shapes[pairs[:, 1]])], all_seen


def _ints(texts: NDArray[Any]) -> Iterator[int]:
    return (int(text) for text in texts.tolist())


def _shares(here: Any, there: Any) -> Any:
    common = shapely.area(shapely.intersection(here, there))
    whole = shapely.area(here) + shapely.area(there) - common
    return np.divide(common, whole, out=np.zeros_like(common), where=whole > 0.0)
