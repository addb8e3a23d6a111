"""Many small polygons joined into clean ones: chinks closed, splinters gone, area kept.

Metres of a local plane.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.loops import only_polygons

KEPT = 0.005
"""Share of the area by which closing gaps may change it."""

_SEGMENTS, _SIMPLE_M, _HALVINGS = 8, 0.01, 12


@dataclass(frozen=True, eq=False)
class JoinedGround:
    """Joined polygons.

    Parameters
    ----------
    shape : shapely Polygon or MultiPolygon
    union_m2, area_m2 : float
        Area of the ground that the polygons covered, and of the joined ones.
    gap_m : float
        Gaps up to this width are closed: as wanted, or less where that would change the area by more than is allowed.
    """

    shape: Any
    union_m2: float
    area_m2: float
    gap_m: float


def joined(polygons: NDArray[Any], gap_m: float, *, kept: float = KEPT) -> JoinedGround:
    """Return the ground that polygons cover as clean polygons.

    Parameters
    ----------
    polygons : ndarray of shapely geometry
        May overlap, leave gaps, cross themselves or be empty.
    gap_m : float
        Gaps up to this width between them, and notches, are closed.
    kept : float
        Share by which that may change the area; the gap is halved until it does not.
    """
    union = shapely.union_all(shapely.make_valid(np.asarray(polygons, dtype=object)))
    ground = only_polygons(union)
    before = float(shapely.area(ground))
    for halved in range(_HALVINGS):
        gap = gap_m / 2.0**halved
        shape = only_polygons(shapely.simplify(closed(ground, gap), min(_SIMPLE_M, gap / 2.0)))
        after = float(shapely.area(shape))
        if abs(after - before) <= kept * before:
            return JoinedGround(shape, before, after, gap)
    return JoinedGround(ground, before, before, 0.0)


def closed(ground: Any, gap_m: float) -> Any:
    """Return ground with gaps and notches up to a width closed: what no disc of that diameter beside it reaches."""
    if gap_m <= 0.0:
        return ground
    grown = shapely.buffer(ground, gap_m / 2.0, quad_segs=_SEGMENTS)
    shrunk = shapely.buffer(grown, -gap_m / 2.0 / math.cos(math.pi / 4.0 / _SEGMENTS), quad_segs=_SEGMENTS)
    return only_polygons(shapely.union(ground, shrunk))


def opened(ground: Any, width_m: float) -> Any:
    """Return ground without what is narrower than a width: what discs of that diameter within it cover."""
    if width_m <= 0.0:
        return ground
    shrunk = shapely.buffer(ground, -width_m / 2.0, quad_segs=_SEGMENTS)
    return only_polygons(shapely.intersection(ground, shapely.buffer(shrunk, width_m / 2.0, quad_segs=_SEGMENTS)))


def without_holes(ground: Any, least_m2: float) -> Any:
    """Return ground without its holes that are smaller than an area."""
    kept = []
    for part in shapely.get_parts(ground):
        holes = [ring for ring in part.interiors if shapely.area(shapely.Polygon(ring)) >= least_m2]
        kept.append(shapely.Polygon(part.exterior, holes))
    return kept[0] if len(kept) == 1 else shapely.MultiPolygon(kept)
