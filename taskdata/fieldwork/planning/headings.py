"""Which way to drive a piece of ground: the heading with the fewest passes, then the least turning.

Metres in a local plane. The smallest width of a ground is across one of the edges of its convex hull (rotating
calipers), so that the fewest rows are found exactly; the edges of the ground and every fifth degree are tried too.
What the swaths are wider than the ground together lies over its edge by halves on both sides.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.amounts import plain
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.fieldwork.field_ground import Ground, rings_of
from taskdata.fieldwork.planning.parallels import MOST_ROWS
from taskdata.fieldwork.planning.row_ends import SHORTEST_M, SLACK_M, joined, own_strip, touched
from taskdata.geometry.arrays import Points
from taskdata.geometry.paths import lengths
from taskdata.progress import each

GRID_DEG = 5.0
APART_DEG = 10.0
"""Runners-up differ by at least this from what is better."""

_EDGE_SHARE = 0.05
"""Edges of at least this share of the outline are tried."""


@dataclass(frozen=True, slots=True)
class Direction:
    """What driving in one direction takes.

    Parameters
    ----------
    heading_deg : float
        Clockwise from the north of the plane, in [0, 180).
    first : tuple of float
        A place on the leftmost row, metres.
    passes : int
        How many pieces of work are driven, each without a break.
    length_m : float
        Way in work.
    turning_m : float
        Straight way from the end of each piece to the start of the next, driven to and fro.
    """

    heading_deg: float
    first: tuple[float, float]
    passes: int
    length_m: float
    turning_m: float

    @property
    def turns(self) -> int:
        """How often the machine goes from one pass to the next."""
        return max(0, self.passes - 1)

    @property
    def rank(self) -> tuple[int, float]:
        """What decides: passes, which turns follow, then the way of turning to the decimetre."""
        return self.passes, round(self.turning_m, 1)


def directions(ground: Ground, spacing: float, width: float = 0.0, count: int = 4) -> list[Direction]:
    """Return the best direction and its runners-up.

    Parameters
    ----------
    ground : shapely polygon or multi-polygon
        What is to be worked, metres.
    spacing : float
        Metres from one pass to the next.
    width : float
        Rows end where a bar of this width is past the edge; 0 = where their middle meets it.
    count : int
        At most so many; each differs by at least `APART_DEG` from the better ones.

    Returns
    -------
    list of Direction
        Best first; empty where there is no ground.

    Raises
    ------
    UsageError
        There would be too many rows.
    """
    if ground is None or ground.is_empty:
        return []
    shapely.prepare(ground)
    tried = sorted(
        (
            evaluate_heading(ground, spacing, heading, width)
            for heading in each(_candidates(ground), "Trying headings", "headings")
        ),
        key=lambda item: item.rank,
    )
    chosen: list[Direction] = []
    for item in tried:
        apart = [abs((item.heading_deg - other.heading_deg + 90.0) % 180.0 - 90.0) for other in chosen]
        if all(angle >= APART_DEG for angle in apart) and len(chosen) < count and item.passes:
            chosen.append(item)
    return chosen


def _candidates(ground: Ground) -> list[float]:
    """Return headings in [0, 180) to be tried."""
    hull = np.diff(shapely.get_coordinates(shapely.convex_hull(ground)), axis=0)
    edges = [np.diff(ring, axis=0) for ring in rings_of(shapely.simplify(ground, 1.0))]
    long = [part[lengths(part) >= _EDGE_SHARE * lengths(part).sum()] for part in edges]
    steps = np.vstack([hull, *long])
    found = np.degrees(np.arctan2(steps[:, 0], steps[:, 1])) % 180.0
    found = np.concatenate([found, np.arange(0.0, 180.0, GRID_DEG)])
    return sorted(set(np.round(found, 6).tolist()) - {180.0})


def evaluate_heading(ground: Ground, spacing: float, heading: float, width: float = 0.0) -> Direction:
    """Return what driving in one direction takes; ``heading`` is in degrees clockwise from the north of the plane."""
    angle = math.radians(heading)
    ahead, right = np.array([math.sin(angle), math.cos(angle)]), np.array([math.cos(angle), -math.sin(angle)])
    corners = shapely.get_coordinates(ground)
    across, along = corners @ right, corners @ ahead
    count = max(1, math.ceil((float(across.max() - across.min()) - SLACK_M) / spacing))
    if count > MOST_ROWS:
        raise UsageError(f"a spacing of {plain(spacing)} m would make {count} rows", remedy="Check the width")
    offsets = float(across.min() + across.max()) / 2.0 + spacing * (np.arange(count) - (count - 1) / 2.0)
    ends = np.array([along.min() - 1.0, along.max() + 1.0])
    lines = offsets[:, np.newaxis, np.newaxis] * right + ends[np.newaxis, :, np.newaxis] * ahead
    pieces, row = _to_full_width(lines, spacing, width, ground) if width else _to_centre(lines, ground)
    start = offsets[0] * right + float(along.mean()) * ahead
    return Direction(
        heading,
        (float(start[0]), float(start[1])),
        len(pieces),
        float(shapely.length(pieces).sum()),
        turning(pieces, row, ahead),
    )


def _to_centre(lines: Points, ground: Ground) -> tuple[NDArray[Any], NDArray[np.intp]]:
    """Return the pieces of rows whose middle is on the ground, and the number of the row of each."""
    pieces, row = shapely.get_parts(shapely.intersection(shapely.linestrings(lines), ground), return_index=True)
    kept = (shapely.get_type_id(pieces) == shapely.GeometryType.LINESTRING) & (shapely.length(pieces) >= SHORTEST_M)
    return pieces[kept], row[kept]


def _to_full_width(
    lines: Points, spacing: float, width: float, ground: Ground
) -> tuple[NDArray[Any], NDArray[np.intp]]:
    """Return the pieces of rows of which some part of the width is on the ground, and the number of the row of each."""
    found: list[tuple[int, float, float]] = []
    strips = np.array([own_strip(number, spacing, width) for number in range(len(lines))])
    for part in shapely.get_parts(ground):
        owner, spans = touched(lines[:, 0], lines[:, 1], strips, part)
        found += [(int(row), *span) for row in np.unique(owner) for span in joined(spans[owner == row])]
    found.sort()
    row = np.array([item[0] for item in found], dtype=np.intp)
    places = np.array([item[1:] for item in found]).reshape(-1, 2)
    ahead = (lines[0, 1] - lines[0, 0]) / lengths(lines[:1, 1] - lines[:1, 0])
    return shapely.linestrings(lines[row, :1] + places[:, :, np.newaxis] * ahead), row


def turning(pieces: NDArray[Any], row: NDArray[np.intp], ahead: Points) -> float:
    """Return the straight way between pieces that are driven to and fro, row by row.

    Parameters
    ----------
    pieces : ndarray
        (n,) line strings in the order of rows.
    row : ndarray
        (n,) number of the row of each, ascending.
    ahead : ndarray
        (2,) the direction in which even rows are driven.
    """
    if len(pieces) < 2:
        return 0.0
    ends = np.array([shapely.get_coordinates(piece)[[0, -1]] for piece in pieces])
    along = ends @ ahead
    turned = along[:, 0] > along[:, 1]
    ends[turned] = ends[turned][:, ::-1]
    back = np.searchsorted(np.unique(row), row) % 2 == 1
    ends[back] = ends[back][:, ::-1]
    order = np.lexsort((np.where(back, -along.min(axis=1), along.min(axis=1)), row))
    ends = ends[order]
    return float(lengths(ends[1:, 0] - ends[:-1, 1]).sum())
