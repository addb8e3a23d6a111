"""Rings and guidance lines with fewer points."""

from __future__ import annotations

import numpy as np
import shapely

from taskdata.adapt.points import is_point
from taskdata.adapt.steps.binary_points import expand, stored_count
from taskdata.adapt.thinning import kept_of
from taskdata.adapt.work import Work, label
from taskdata.errors import TargetError
from taskdata.geometry.arrays import Points
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import is_closed
from taskdata.isoxml.element import Element, Node, PointRun
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.model.receiver import Receiver
from taskdata.model.shapes import LineKind

RING_TOLERANCE_M = 0.5
"""How far a ring may move at most when points are left out."""

LINE_TOLERANCE_M = 0.05
"""How far a guidance line may move at most when points are left out."""

_LEAST = {False: 2, True: 4}


def thin_points(work: Work, receiver: Receiver) -> None:
    """Leave out points of rings and guidance lines that have too many, those first that matter least.

    A ring moves by 0.5 m at most, a guidance line by 0.05 m; the ledger says by how much. Only strings beyond the limit
    change.

    Raises
    ------
    TargetError
        That is not enough, or a ring would cross itself.
    """
    in_ring, in_line = receiver.get("limits.points_in_ring"), receiver.get("limits.points_in_line")
    least = min((limit for limit in (in_ring, in_line) if limit is not None), default=None)
    if least is None:
        return
    expand(work, lambda point: _is_long(work, point, least), "they are to be thinned")
    rings, line = {str(int(kind)) for kind in RingKind}, str(int(LineKind.GUIDANCE))
    for string in work.tagged("LSG"):
        kind = string.get("LineStringType")
        if kind in rings and in_ring is not None:
            _thin(work, string, in_ring, RING_TOLERANCE_M, ring=True)
        elif kind == line and in_line is not None:
            _thin(work, string, in_line, LINE_TOLERANCE_M, ring=False)


def _is_long(work: Work, point: Element, most: int) -> bool:
    """Tell whether a point names a file of more points than that for a line string."""
    return point.parent is not None and point.parent.tag == "LSG" and stored_count(work, point) > most


def _thin(work: Work, string: Element, most: int, tolerance: float, *, ring: bool) -> None:
    places = string.coordinates()
    readable = np.flatnonzero(np.isfinite(places).all(axis=1))
    if len(readable) <= most:
        return
    places = places[readable]
    metres = LocalPlane.centred_on(places).forward(places)
    joined = ring and not is_closed(places)
    course = np.vstack([metres, metres[:1]]) if joined else metres
    kept, moved = kept_of(course, max(most + joined, _LEAST[ring]))
    if len(kept) - joined > most or moved > tolerance:
        why = f"it would move by {moved:.2f} m, {tolerance} m are allowed"
        raise _refusal(string, f"cannot be thinned from {len(places)} to {most} points", why)
    if ring and _crosses(course[kept]) and not _crosses(course):
        raise _refusal(string, f"would cross itself with {most} points", None)
    kept = kept[:-1] if joined else kept
    _keep(string, set(readable[kept].tolist()))
    what = f"{label(string)} is thinned from {len(places)} to {len(kept)} points; it moves by {moved:.3f} m at most"
    work.approximate(string, what)


def _crosses(course: Points) -> bool:
    return not shapely.is_valid(shapely.Polygon(course))


def _refusal(string: Element, what: str, why: str | None) -> TargetError:
    owner = string.nearest_id() or string.tag
    return TargetError(f"a string of {owner} {what}", why=why, remedy="Simplify it, or leave its field out")


def _keep(string: Element, kept: set[int]) -> None:
    """Leave in a string only the points of these positions."""
    position = 0
    children: list[Node] = []
    for child in string.children:
        if isinstance(child, PointRun):
            rows = [row for row in range(len(child)) if position + row in kept]
            position += len(child)
            if rows:
                texts = {name: child.texts(name) for name in child.names}
                children.append(PointRun.of({name: [column[row] for row in rows] for name, column in texts.items()}))
        elif not is_point(child) or position in kept:
            children.append(child)
            position += is_point(child)
        else:
            position += 1
    string.children = children
