"""Rings and guidance lines with fewer points."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.adapt.leavable import leavable, or_leave
from taskdata.adapt.points import is_point, types
from taskdata.adapt.steps.binary_points import expand, stored_count
from taskdata.adapt.thinning import kept_of, relations
from taskdata.errors import TargetError
from taskdata.geometry.arrays import Points
from taskdata.geometry.loops import crosses_itself
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.rings import is_closed
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.element import Element, Node, PointRun
from taskdata.model.receiver import Receiver
from taskdata.model.shapes import AreaKind, LineKind, PointKind
from taskdata.progress import each

RING_TOLERANCE_M = 0.5
"""How far a ring may move at most when points are left out."""

LINE_TOLERANCE_M = 0.05
"""How far a guidance line may move at most when points are left out."""

_LEADING = {str(int(kind)) for kind in (PointKind.GUIDANCE_A, PointKind.GUIDANCE_B, PointKind.GUIDANCE_CENTRE)}
_OWNERS = {"PFD", "TSK"}
_BOUNDARY = str(int(AreaKind.BOUNDARY))
_RINGS = {str(int(kind)) for kind in RingKind}


def thin_points(work: Adaptation, receiver: Receiver) -> None:
    """Leave out points of rings and guidance lines that have too many, those first that matter least.

    A ring moves by 0.5 m at most, a guidance line by 0.05 m; the ledger says by how much. Only strings beyond the limit
    change.

    Raises
    ------
    TargetError
        That is not enough, a ring would cross itself or another of its polygon or field boundary, or a line would lose
        its A, its B or its centre.
    """
    in_ring, in_line = receiver.get("limits.points_in_ring"), receiver.get("limits.points_in_line")
    limits = {**dict.fromkeys(_RINGS, in_ring), str(int(LineKind.GUIDANCE)): in_line}
    expand(work, lambda point: _is_long(work, point, limits), "they have to be thinned")
    if in_line is not None:
        for string in each(work.tagged("LSG"), "Thinning", "lines"):
            if string.get("LineStringType") == str(int(LineKind.GUIDANCE)):
                _thin(work, string, in_line, LINE_TOLERANCE_M, ring=False)
    if in_ring is not None:
        for polygons in each(_together(work), "Thinning", "polygons"):
            rings = [ring for polygon in polygons for ring in polygon.elements("LSG") if _is_ring(ring)]
            _thin_rings(work, rings, in_ring)


def _together(work: Adaptation) -> list[list[Element]]:
    """Return the polygons whose rings must not come to cross: those of a field boundary together, each other alone."""
    groups: dict[Element, list[Element]] = {}
    for polygon in work.tagged("PLN"):
        field = polygon.parent
        bounds = field is not None and field.tag == "PFD" and polygon.get("PolygonType") == _BOUNDARY
        groups.setdefault(field if bounds and field is not None else polygon, []).append(polygon)
    return list(groups.values())


def _is_ring(string: Element) -> bool:
    return string.get("LineStringType") in _RINGS


def _thin_rings(work: Adaptation, rings: list[Element], most: int) -> None:
    before = [ring.coordinates() for ring in rings]
    for ring in rings:
        _thin(work, ring, most, RING_TOLERANCE_M, ring=True)
    if len(rings) == 1:
        return
    for number, ring in enumerate(rings):
        if ring.point_count() < len(before[number]):
            plane = LocalPlane.centred_on(before[number][np.isfinite(before[number]).all(axis=1)])
            was, now = (
                [_flat(plane, places) for places in side] for side in (before, [r.coordinates() for r in rings])
            )
            if relations(now, number) != relations(was, number):
                raise _refusal(ring, f"would cross another ring with {most} points", None)


def _flat(plane: LocalPlane, places: Points) -> Points:
    return plane.forward(places[np.isfinite(places).all(axis=1)])


def _is_long(work: Adaptation, point: Element, limits: Mapping[str, int | None]) -> bool:
    """Tell whether a point names a file of more points than its line string may have."""
    string = point.parent
    if string is None or string.tag != "LSG":
        return False
    limit = limits.get(string.get("LineStringType") or "")
    return limit is not None and stored_count(work, point) > limit


def _thin(work: Adaptation, string: Element, most: int, tolerance: float, *, ring: bool) -> None:
    places = string.coordinates()
    readable = np.flatnonzero(np.isfinite(places).all(axis=1))
    if len(readable) <= most:
        return
    places = places[readable]
    metres = LocalPlane.centred_on(places).forward(places)
    joined = ring and not is_closed(places)
    course = np.vstack([metres, metres[:1]]) if joined else metres
    least = 4 - joined if ring else 2 + is_closed(places)
    kept, moved = kept_of(course, max(most, least) + joined)
    if len(kept) - joined > most or moved > tolerance:
        why = f"it would move by {moved:.2f} m, {tolerance} m are allowed" if most >= least else f"it needs {least}"
        raise _refusal(string, f"cannot be thinned from {len(places)} to {most} points", why)
    if ring and crosses_itself(course[kept]) and not crosses_itself(course):
        raise _refusal(string, f"would cross itself with {most} points", None)
    kept = kept[:-1] if joined else kept
    stays = np.zeros(string.point_count(), dtype=np.bool_)
    stays[readable[kept]] = True
    if _LEADING & {kind for kind, stay in zip(types(string), stays.tolist(), strict=True) if not stay}:
        raise _refusal(string, f"would lose its A, B or centre with {most} points", None)
    _keep(string, stays)
    what = f"{label(string)} is thinned from {len(places)} to {len(kept)} points; it moves by {moved:.3f} m at most"
    work.approximate(string, what)


def _refusal(string: Element, what: str, why: str | None) -> TargetError:
    node: Element | None = string
    while node is not None and node.tag not in _OWNERS:
        node = node.parent
    of = "" if node is None else f" of {node.nearest_id() or ''} {label(node)}".replace("  ", " ")
    return TargetError(f"{label(string)} {what}{of}", why=why, remedy=or_leave("Simplify it", [leavable(string)]))


def _keep(string: Element, kept: NDArray[np.bool_]) -> None:
    """Leave in a string only the points where ``kept`` is True."""
    position = 0
    children: list[Node] = []
    for child in string.children:
        count = len(child) if isinstance(child, PointRun) else int(is_point(child))
        here = kept[position : position + count]
        position += count
        if here.all():  # as of what is no point
            children.append(child)
        elif here.any() and isinstance(child, PointRun):
            children.append(child.only(here))
    string.children = children
