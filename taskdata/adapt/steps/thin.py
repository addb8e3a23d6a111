"""Rings and guidance lines with fewer points."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.adapt.leavable import leavable, or_leave
from taskdata.adapt.points import TYPE, is_point
from taskdata.adapt.steps.binary_points import expand, stored_count
from taskdata.adapt.thinning import kept_of, relations
from taskdata.dataclass import dataclass
from taskdata.errors import TargetError
from taskdata.geometry.arrays import Points
from taskdata.geometry.loops import crosses_itself, ring_shapes
from taskdata.geometry.plane import LocalPlane, laid_each
from taskdata.geometry.rings import is_closed
from taskdata.isoxml.to_model.shapes import RingKind
from taskdata.isoxml.tree.element import Element, Node, PointRun
from taskdata.model.receiver import Receiver
from taskdata.model.shapes import AreaKind, LineKind, PointKind
from taskdata.phrases import phrase
from taskdata.progress import each

T = TypeVar("T")
Indexes = NDArray[np.intp]

RING_TOLERANCE_M = 0.5
"""How far a ring may move at most when points are left out."""

LINE_TOLERANCE_M = 0.05
"""How far a guidance line may move at most when points are left out."""

_BLOCK = 512
"""Lines, or groups of rings, that are thinned side by side."""

_LEADING = [int(kind) for kind in (PointKind.GUIDANCE_A, PointKind.GUIDANCE_B, PointKind.GUIDANCE_CENTRE)]
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
        lines = [line for line in work.tagged("LSG") if line.get("LineStringType") == str(int(LineKind.GUIDANCE))]
        for some in _blocks(each(lines, "Thinning", "lines")):
            _thin(work, some, in_line, LINE_TOLERANCE_M, ring=False)
    if in_ring is not None:
        for groups in _blocks(each(_together(work), "Thinning", "polygons")):
            _thin_rings(
                work, [[r for one in group for r in one.elements("LSG") if _is_ring(r)] for group in groups], in_ring
            )


def _blocks(items: Iterable[T]) -> Iterator[list[T]]:
    """Yield what is thinned side by side: enough to be quick, few enough to be held."""
    rest = iter(items)
    while some := list(islice(rest, _BLOCK)):
        yield some


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


def _thin_rings(work: Adaptation, groups: list[list[Element]], most: int) -> None:
    before = [[ring.coordinates() for ring in rings] if len(rings) > 1 else [] for rings in groups]
    _thin(work, [ring for rings in groups for ring in rings], most, RING_TOLERANCE_M, ring=True)
    for rings, places in zip(groups, before, strict=True):
        if len(rings) > 1:
            _refuse_crossing(rings, places, most)


def _refuse_crossing(rings: list[Element], before: list[Points], most: int) -> None:
    """Refuse rings that lie otherwise to each other than before."""
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


@dataclass(frozen=True, slots=True)
class _Course:
    """A string that has too many points: which of them lie somewhere, and where.

    ``joined`` tells a ring that lacks its closing point, ``least`` how many points it needs.
    """

    string: Element
    readable: Indexes
    places: Points
    joined: bool
    least: int


def _thin(work: Adaptation, strings: Iterable[Element], most: int, tolerance: float, *, ring: bool) -> None:
    courses = [course for string in strings if (course := _long(string, most, ring=ring)) is not None]
    laid = [
        np.vstack([metres, metres[:1]]) if course.joined else metres
        for course, metres in zip(courses, laid_each([course.places for course in courses]), strict=True)
    ]
    found = kept_of(laid, [max(most, course.least) + course.joined for course in courses])
    for course, (kept, moved) in zip(courses, found, strict=True):
        if len(kept) - course.joined > most or moved > tolerance:
            why = phrase("it would move by {moved:.2f} m, {tolerance} m are allowed", moved=moved, tolerance=tolerance)
            why = why if most >= course.least else phrase("it needs {least}", least=course.least)
            raise _refusal(course.string, f"cannot be thinned from {len(course.places)} to {most} points", why)
    if ring:
        slim = [metres[kept] for metres, (kept, _) in zip(laid, found, strict=True)]
        for course, before, sound in zip(courses, laid, _are_simple(slim), strict=True):
            if not sound and not crosses_itself(before):
                raise _refusal(course.string, f"would cross itself with {most} points", None)
    left = [kept[:-1] if course.joined else kept for course, (kept, _) in zip(courses, found, strict=True)]
    _keep([(course.string, course.readable[kept]) for course, kept in zip(courses, left, strict=True)], most)
    for course, kept, (_, moved) in zip(courses, left, found, strict=True):
        what = phrase(
            "{string} is thinned from {count} to {count_2} points; it moves by {moved:.3f} m at most",
            string=label(course.string),
            count=len(course.places),
            count_2=len(kept),
            moved=moved,
        )
        work.approximate(course.string, what)


def _are_simple(rings: list[Points]) -> list[bool]:
    """Tell of each ring whether it encloses something and does not cross itself; many checked at once."""
    sound = np.array([len(ring) > 3 for ring in rings], dtype=np.bool_)
    sound[sound] = shapely.is_valid(ring_shapes([ring for ring in rings if len(ring) > 3]))
    return [bool(item) for item in sound]


def _long(string: Element, most: int, *, ring: bool) -> _Course | None:
    """Return the course of a string that has more points than may stay, None of others."""
    if string.point_count() <= most:
        return None
    places = string.coordinates()
    readable = np.arange(len(places))
    if not np.isfinite(places).all():
        readable = np.flatnonzero(np.isfinite(places).all(axis=1))
        places = places[readable]
    if len(readable) <= most:
        return None
    closed = is_closed(places)
    return _Course(string, readable, places, ring and not closed, 3 + closed if ring else 2 + closed)


def _refusal(string: Element, what: str, why: str | None) -> TargetError:
    node: Element | None = string
    while node is not None and node.tag not in _OWNERS:
        node = node.parent
    of = "" if node is None else f" of {node.nearest_id() or ''} {label(node)}".replace("  ", " ")
    return TargetError(f"{label(string)} {what}{of}", why=why, remedy=or_leave("Simplify it", [leavable(string)]))


def _keep(strings: Iterable[tuple[Element, Indexes]], most: int) -> None:
    """Leave in each string only some of its points, by their numbers in ascending order."""
    parts: list[tuple[PointRun, Indexes]] = []
    gaps: list[tuple[list[Node], int]] = []
    for string, kept in strings:
        if _loses_leading(string, kept):
            raise _refusal(string, f"would lose its A, B or centre with {most} points", None)
        position = last = 0
        children: list[Node] = []
        for child in string.children:
            count = len(child) if isinstance(child, PointRun) else int(is_point(child))
            first, last = last, int(np.searchsorted(kept, position + count))
            if last - first == count:  # as of what is no point
                children.append(child)
            elif last > first and isinstance(child, PointRun):
                gaps.append((children, len(children)))
                parts.append((child, kept[first:last] - position))
                children.append(child)
            position += count
        string.children = children
    for (children, at), run in zip(gaps, PointRun.each_only(parts), strict=True):
        children[at] = run


def _loses_leading(string: Element, kept: Indexes) -> bool:
    """Tell whether a string loses a point that it is steered by."""
    runs = [child for child in string.children if isinstance(child, PointRun)]
    if len(runs) == len(string.children) and not any(map(_may_lead, runs)):
        return False
    goes = np.ones(string.point_count(), dtype=np.bool_)
    goes[kept] = False
    return bool(np.isin(string.point_numbers("PointType")[goes], _LEADING).any())


def _may_lead(run: PointRun) -> bool:
    """Tell whether a run may hold a point that a line is steered by, without looking at each."""
    code = run.column(TYPE).constant() if TYPE in run.names else None
    return TYPE in run.names and (code is None or float(code) in _LEADING)
