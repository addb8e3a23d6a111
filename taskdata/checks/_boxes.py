"""Extents that meet, found without the shapes in them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.checks._courses import Indexes
from taskdata.geometry.arrays import Floats

_BLOCK = 1024
"""How many extents look for others at a time."""


class Boxes:
    """Extents (n, 4), west, south, east and north, in a tree."""

    def __init__(self, extents: Floats) -> None:
        self._diagonals = shapely.linestrings(extents.reshape(-1, 2, 2))
        self._tree = shapely.STRtree(self._diagonals)

    def meeting(self, numbers: Indexes) -> tuple[Indexes, Indexes]:
        """Return the pairs of extents that meet, in ascending order: one of ``numbers``, and a later one."""
        at, others = self._tree.query(self._diagonals[numbers])
        ones = numbers[at]
        ahead = others > ones
        order = np.lexsort((others[ahead], ones[ahead]))
        return ones[ahead][order], others[ahead][order]

    def pairs(self) -> Iterator[tuple[Indexes, Indexes]]:
        """Yield all pairs that meet, some at a time."""
        for start in range(0, len(self._diagonals), _BLOCK):
            yield self.meeting(np.arange(start, min(start + _BLOCK, len(self._diagonals))))
