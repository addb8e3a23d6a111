"""Where the rows of a plan begin and end on a piece of ground.

Metres in a local plane. With ``centre`` a row ends where its middle meets the edge. With ``full`` it ends where the
whole width is past the edge: as long as any part of a bar across the row lies on the ground, the row goes on. At an
edge that a row meets at an angle the difference is half the width divided by the tangent of that angle.

A row never leads through a hole of the field; what stays undone because of that is part of `undone`. It may lead
outside the field where there is no headland, by up to half the width.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.geometry.arrays import Floats, Points
from taskdata.geometry.loops import polygons_of, ring_shapes
from taskdata.geometry.offsets import clipped
from taskdata.geometry.paths import at_distance, distances, length, lengths
from taskdata.geometry.ribbons import polygons

SHORTEST_M = 1.0
"""Pieces of a row below this length are left out."""

SLACK_M = 0.02
"""A row that would work a strip no wider than this is not laid: no machine steers closer."""

Strip: TypeAlias = tuple[float, float]
"""Where a bar begins and ends, metres to the right of its row."""

_MITRE = 1.02
_GRID_M = 1e-6
"""Bands are joined on a grid this fine: edges that nearly coincide can cost a whole band otherwise (GEOS 3.14)."""
"""Bends up to 23 degrees are worked to their corner; sharper ones count as cut off there."""

_JOINED_M = 1e-6


@dataclass(frozen=True, eq=False)
class Clip:
    """What rows are cut to.

    Parameters
    ----------
    ground : shapely polygon or multi-polygon
        What is to be worked by rows.
    whole : shapely polygon or multi-polygon
        The whole field with its headland; the middle of a row does not enter its holes.
    spacing_m, width_m : float
        Metres from one row to the next, and width of the bar; a width of 0 = rows end where their middle meets the
        edge.
    """

    ground: Any
    whole: Any
    spacing_m: float = 0.0
    width_m: float = 0.0

    @property
    def beyond_m(self) -> float:
        """How far from the ground the middle of a row may lie that works some of it."""
        return min(self.spacing_m - self.width_m / 2.0, self.width_m / 2.0) - SLACK_M if self.width_m else 0.0

    def pieces(self, line: Points, number: int) -> list[Points]:
        """Return the pieces of a row, (n, 2) metres each, in its order and direction.

        Parameters
        ----------
        line : ndarray
            (n, 2) metres.
        number : int
            0 the row that is driven first, positive to the right of it.
        """
        if self.width_m:
            return self._full(line, own_strip(number, self.spacing_m, self.width_m))
        return [piece for piece in _over_start(line, clipped(line, self.ground)) if length(piece) >= SHORTEST_M]

    def _full(self, line: Points, strip: Strip) -> list[Points]:
        places = distances(line)
        holes = _holes(self.whole)
        found = [reach for part in shapely.get_parts(self.ground) for reach in reaches(line, strip, part)]
        pieces = [_substring(line, places, *_long_enough(span, float(places[-1]))) for span in sorted(found)]
        if holes is not None:
            outside = shapely.difference(shapely.buffer(shapely.envelope(shapely.linestrings(line)), 1.0), holes)
            pieces = [kept for piece in pieces for kept in clipped(piece, outside)]
        return _over_start(line, pieces)


def own_strip(number: int, spacing: float, width: float) -> Strip:
    """Return the part of its bar that a row works which no row nearer to row 0 does."""
    if number == 0 or width <= spacing:
        return -width / 2.0, width / 2.0
    return (width / 2.0 - spacing, width / 2.0) if number > 0 else (-width / 2.0, spacing - width / 2.0)


def reaches(line: Points, strip: Strip, ground: Any) -> list[tuple[float, float]]:
    """Return from where to where along a line some part of a bar across it lies on the ground.

    Parameters
    ----------
    line : ndarray
        (n, 2) metres.
    strip : (float, float)
        Where the bar begins and ends, metres to the right of the line.
    ground : shapely polygon
        The ground.

    Returns
    -------
    list of (float, float)
        Metres along the line, ascending, apart from each other.
    """
    sizes = lengths(np.diff(line, axis=0))
    before = np.concatenate([[0.0], np.cumsum(sizes)[:-1]])
    owner, spans = touched(line[:-1], line[1:], np.array([strip]), ground)
    return joined(spans + before[owner, np.newaxis])


def touched(starts: Points, ends: Points, strips: Floats, ground: Any) -> tuple[NDArray[np.intp], Floats]:
    """Return on which stretches of straight ways some part of a bar across them lies on the ground.

    Parameters
    ----------
    starts, ends : ndarray
        (n, 2) metres.
    strips : ndarray
        (n, 2) or (1, 2), where the bar of each begins and ends, metres to its right.
    ground : shapely polygon
        The ground.

    Returns
    -------
    tuple of ndarray
        (k,) the number of the way, and (k, 2) metres from its start; in no order, and they may overlap.
    """
    sizes = lengths(ends - starts)
    ahead = (ends - starts) / sizes[:, np.newaxis]
    strips = np.broadcast_to(strips, starts.shape)
    right = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    left, most = (right * strips[:, [side]] for side in (0, 1))
    bars = polygons(np.stack([starts + left, ends + left, ends + most, starts + most], axis=1))
    shapely.prepare(ground)
    within = shapely.contains_properly(ground, bars)
    inner, edge = np.flatnonzero(within), np.flatnonzero(shapely.intersects(ground, bars) & ~within)
    parts, index = shapely.get_parts(shapely.intersection(bars[edge], ground), return_index=True)
    solid = shapely.get_dimensions(parts) == 2
    parts, owner = parts[solid], edge[index[solid]]
    corners, index = shapely.get_coordinates(parts, return_index=True)
    if not len(corners):
        return inner, np.column_stack([np.zeros(len(inner)), sizes[inner]])
    own = owner[index]
    away = corners - starts[own]
    along = np.clip((away * ahead[own]).sum(axis=1), 0.0, sizes[own])
    across = away[:, 0] * ahead[own, 1] - away[:, 1] * ahead[own, 0]
    first = np.searchsorted(index, np.arange(len(parts)))
    spans = np.column_stack([np.minimum.reduceat(along, first), np.maximum.reduceat(along, first)])
    edges = strips[owner]
    deep = (np.minimum.reduceat(across, first) < edges[:, 1] - SLACK_M) & (
        np.maximum.reduceat(across, first) > edges[:, 0] + SLACK_M
    )
    found = np.vstack([np.column_stack([np.zeros(len(inner)), sizes[inner]]), spans[deep]])
    return np.concatenate([inner, owner[deep]]), found


def undone(ground: Any, lines: Sequence[Points], width: float) -> float:
    """Return how much of the ground a bar leaves that goes along lines, square metres.

    Parameters
    ----------
    ground : shapely polygon or multi-polygon
        What is to be worked.
    lines : sequence of ndarray
        (n, 2) metres each, the way of the middle of the bar.
    width : float
        Width of the bar. Corners sharper than 23 degrees count as cut off.
    """
    bands = shapely.buffer(
        [shapely.linestrings(line) for line in lines],
        width / 2.0,
        cap_style="flat",
        join_style="mitre",
        mitre_limit=_MITRE,
    )
    return float(shapely.area(shapely.difference(ground, shapely.union_all(bands, grid_size=_GRID_M))))


def joined(spans: Floats) -> list[tuple[float, float]]:
    """Return (n, 2) spans in order, those that touch as one."""
    found: list[tuple[float, float]] = []
    for low, high in spans[np.argsort(spans[:, 0])].tolist():
        if found and low <= found[-1][1] + _JOINED_M:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _long_enough(span: tuple[float, float], most: float) -> tuple[float, float]:
    """Return a stretch of a line of so many metres, at both ends made longer where it is too short to be driven."""
    more = max(0.0, SHORTEST_M - (span[1] - span[0])) / 2.0
    return max(0.0, span[0] - more), min(most, span[1] + more)


def _substring(line: Points, places: Floats, low: float, high: float) -> Points:
    """Return the stretch of a line between two places on it, which are metres from its start."""
    between = line[(places > low + _JOINED_M) & (places < high - _JOINED_M)]
    ends = at_distance(line, [low, high])
    return np.vstack([ends[:1], between, ends[1:]])


def _holes(ground: Any) -> Any | None:
    """Return what lies inside the holes of a ground; None where it has none."""
    rings = [hole for _, holes in polygons_of(ground) for hole in holes]
    return shapely.union_all(ring_shapes(rings)) if rings else None


def _over_start(line: Points, pieces: list[Points]) -> list[Points]:
    """Return the pieces of a line; of a ring the piece over its start is one."""
    closed = bool((line[0] == line[-1]).all())
    if closed and len(pieces) > 1 and (pieces[0][0] == pieces[-1][-1]).all():
        pieces = [*pieces[1:-1], np.vstack([pieces[-1], pieces[0][1:]])]
    return pieces
