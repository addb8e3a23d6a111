"""Whether a place is open sea: no land within some 50 km, so that no field is there.

The table `data/open_sea.csv` lists, for each half degree of latitude from its southern edge on, the runs of longitudes
that are open sea: cells of half a degree that hold no land and whose eight neighbours hold none either. It was made
from the 1 km elevation model GLOBE (NOAA, in the public domain), in the form of the mask of global-land-mask 1.0.0
(MIT licence). Small islands that the model does not show are the reason why it is never more than a hint.
"""

from __future__ import annotations

import math
from functools import cache

from taskdata.resources import table

_CELL = 0.5


def is_open_sea(lon: float, lat: float) -> bool:
    """Return whether a place is open sea; False where it is not known."""
    if not (math.isfinite(lon) and -90.0 <= lat < 90.0):
        return False
    east = (lon + 180.0) % 360.0 - 180.0
    return any(start <= east < end for start, end in _runs()[math.floor(lat / _CELL) * _CELL])


@cache
def _runs() -> dict[float, tuple[tuple[float, float], ...]]:
    return {float(row["south"]): tuple(map(_run, row["open_sea"].split())) for row in table("open_sea")}


def _run(text: str) -> tuple[float, float]:
    start, _, end = text.partition(":")
    return float(start), float(end)
