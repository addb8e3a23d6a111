"""Parallel passes of a field, from a guidance line or the best heading, at the effective width of an implement.

The passes steer a machine: drive the first one by eye, and mind what stands in the field that no boundary tells of.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.fieldwork.field_ground import Ground, ground_of, plane_of, rings_of, shrunk
from taskdata.fieldwork.planning.choices import LineChoice, Widths, choose, widths
from taskdata.fieldwork.planning.headings import Direction, directions, evaluate_heading
from taskdata.fieldwork.planning.parallels import Row, rows_of
from taskdata.fieldwork.planning.plan_request import PlanRequest
from taskdata.fieldwork.planning.row_ends import SLACK_M, Clip, undone
from taskdata.geometry.arrays import Points
from taskdata.geometry.geodesy import azimuth, line_length
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import GuidanceKind, GuidanceLine
from taskdata.results.planning import Alternative, Ends, PassPlan, PlannedPass, PlanNote

MOST_ROUNDS = 100

LEAST_UNDONE_M2 = 1.0
"""A smaller unworked area is not reported."""

_AHEAD_M = 100.0

METHOD = (
    "Parallels at true distance in a local plane, clipped to the field and its holes: straight lines within 1 mm, "
    "curves within 3 cm, edges of the headland within 1 cm, lengths on the ellipsoid. A row divided by the edge or a "
    "hole makes several passes. The unworked area is what a bar of the working width leaves on its way along the "
    "passes; bends sharper than 23 degrees count as cut off."
)


@dataclass(frozen=True, eq=False)
class _Site:
    """The ground of a plan: all of it, what is left within the headland, and what of that the line is valid for.

    None without a boundary.
    ``reach_m`` is the width of the bar where rows end past the edge with all of it, else 0.
    """

    plane: LocalPlane
    whole: Ground | None
    within: Ground | None
    inner: Ground | None
    rounds: list[Row]
    widths: Widths
    reach_m: float

    @property
    def clip(self) -> Clip | None:
        """What rows are cut to."""
        if self.inner is None:
            return None
        whole = self.inner if self.whole is None else self.whole
        return Clip(self.inner, whole, self.widths.spacing, self.reach_m)


def plan_passes(dataset: Dataset, request: PlanRequest) -> PassPlan:
    """Plan the passes of one field.

    Parameters
    ----------
    dataset : Dataset
        Holds the field, its guidance lines and, where no width is given, the implement.
    request : PlanRequest
        What is wanted.

    Returns
    -------
    PassPlan
        Without a boundary it has the rows whose number the line states, as long as the line, and says so.

    Raises
    ------
    UsageError
        There is no such field or line, no way to know the width, or nothing to plan from.
    """
    if not 0 <= request.headland <= MOST_ROUNDS:
        raise UsageError(f"a headland cannot be {request.headland} widths wide", remedy=f"Give 0 to {MOST_ROUNDS}")
    choice = choose(dataset, request)
    site = _site(choice, widths(dataset, choice.line, request), request)
    spacing = site.widths.spacing
    found = directions(site.inner, spacing, site.reach_m) if site.inner is not None else []
    line = choice.line if choice.line is not None else _made(choice, found, site, spacing)
    rows = [] if _used_up(site) else rows_of(line, spacing, site.plane, site.clip)
    left = _undone(site, rows)
    pieces = tuple(
        PlannedPass(number, part, headland, lonlat, line_length(lonlat))
        for headland, listed in ((True, site.rounds), (False, rows))
        for number, parts in listed
        for part, lonlat in enumerate((site.plane.inverse(item) for item in parts), start=1)
    )
    length, turns = sum(piece.length_m for piece in pieces), max(0, len(pieces) - 1)
    plan = PassPlan(
        choice.field,
        line,
        choice.line is None,
        _heading(line),
        spacing,
        pieces,
        length,
        turns,
        _time(length, turns, request),
        _alternatives(found, site, request, skip=choice.best),
        width_m=site.widths.bar,
        ends=request.ends,
        undone_m2=left[0],
        undone_headland_m2=left[1],
        method=METHOD,
    )
    return _with_notes(plan, choice, site)


def _site(choice: LineChoice, widths: Widths, request: PlanRequest) -> _Site:
    """Return the ground of the field, less what the boundaries of group and pattern leave out, and its headland."""
    spacing, headland = widths.spacing, request.headland
    plane = plane_of(choice.field)
    if plane is None:
        raise UsageError("the field has no coordinates", where=choice.field.id, remedy="Choose another with [[field]]")
    whole = ground_of(choice.field.boundaries, plane)
    rounds: list[Row] = []
    inner = whole
    if whole is not None and headland:
        for number in range(1, headland + 1):
            rings = rings_of(shrunk(whole, spacing * (number - 0.5)))
            rounds += [(number, rings)] if rings else []
        inner = shrunk(whole, spacing * headland)
    within = inner
    for areas in choice.valid:
        limit = ground_of(areas, plane)
        if limit is not None:
            inner = limit if inner is None else inner.intersection(limit)
    return _Site(plane, whole, within, inner, rounds, widths, widths.bar if request.ends is Ends.FULL else 0.0)


def _undone(site: _Site, rows: Sequence[Row]) -> tuple[float | None, float | None]:
    """Return how much ground the plan leaves where rows go, and in the headland; None without a boundary."""
    if site.whole is None or site.within is None:
        return None, None
    lines = [line for _, parts in (*site.rounds, *rows) for line in parts]
    return (
        undone(site.within, lines, site.widths.bar),
        undone(site.whole.difference(site.within), lines, site.widths.bar),
    )


def _used_up(site: _Site) -> bool:
    return site.inner is not None and bool(site.inner.is_empty)


def _made(choice: LineChoice, found: Sequence[Direction], site: _Site, spacing: float) -> GuidanceLine:
    """Return the leftmost row along the heading asked for, or the best; without a boundary one through the middle."""
    if choice.heading_deg is not None:
        first = (0.0, 0.0)
        if site.inner is not None and not site.inner.is_empty:
            first = evaluate_heading(site.inner, spacing, choice.heading_deg, site.reach_m).first
        points = site.plane.inverse(_stretch(first, choice.heading_deg))
        return GuidanceLine(GuidanceKind.AB, points, name=f"{choice.heading_deg:g}°")
    if not found:
        raise UsageError(
            "the field has neither a boundary nor a guidance line to plan from",
            where=choice.field.id,
            remedy="Give [[line]] with a heading, or choose another field with [[field]]",
        )
    points = site.plane.inverse(_stretch(found[0].first, found[0].heading_deg))
    return GuidanceLine(GuidanceKind.AB, points, name="best heading")


def _stretch(middle: tuple[float, float], heading: float) -> Points:
    angle = math.radians(heading)
    step = np.array([math.sin(angle), math.cos(angle)]) * _AHEAD_M
    return np.array([np.array(middle) - step, np.array(middle) + step])


def _heading(line: GuidanceLine) -> float | None:
    if line.kind is GuidanceKind.PIVOT:
        return None
    return line.heading_deg if line.kind is GuidanceKind.A_PLUS else azimuth(line.points[0], line.points[-1])


def _time(length: float, turns: int, request: PlanRequest) -> float | None:
    if request.speed_m_s is None:
        return None
    return length / request.speed_m_s + turns * request.turn_s


def _alternatives(
    found: Sequence[Direction], site: _Site, request: PlanRequest, *, skip: bool
) -> tuple[Alternative, ...]:
    """Return what the headings take that were found, the headland counted in."""
    lengths = [line_length(site.plane.inverse(ring)) for _, rings in site.rounds for ring in rings]
    listed = []
    for item in found[1:] if skip else found:
        length, turns = item.length_m + sum(lengths), item.passes - 1 + len(lengths)
        passes = item.passes + len(lengths)
        listed.append(Alternative(item.heading_deg, passes, length, turns, _time(length, turns, request)))
    return tuple(listed)


def _with_notes(plan: PassPlan, choice: LineChoice, site: _Site) -> PassPlan:
    """Return the plan with what its reader has to know."""
    notes: list[tuple[PlanNote, str]] = []
    if site.whole is None:
        notes.append((PlanNote.NO_BOUNDARY, choice.field.name or choice.field.id))
    if _used_up(site):
        notes.append((PlanNote.NO_HEADLAND_LEFT, f"{plan.spacing_m:g}"))
    elif not any(not piece.headland for piece in plan.pieces):
        notes.append((PlanNote.NO_WORK, plan.line.name or plan.line.id or ""))
    if plan.kind is GuidanceKind.SPIRAL:
        notes.append((PlanNote.SPIRAL, ""))
    if any(stated is not None for stated in (plan.line.swaths_left, plan.line.swaths_right)) or choice.valid:
        notes.append((PlanNote.LIMITED, plan.line.name or plan.line.id or ""))
    notes += _ground_notes(plan, site)
    if choice.others:
        notes.append((PlanNote.OTHER_FIELDS, ", ".join(choice.others)))
    if plan.time_s is not None:
        faster = [item for item in plan.alternatives if item.time_s is not None and item.time_s < plan.time_s - 1.0]
        best = min(faster, key=lambda item: item.time_s or math.inf, default=None)
        if best is not None:
            notes.append((PlanNote.FASTER, f"{best.heading_deg:.1f}"))
    return replace(plan, notes=tuple(notes))


def _ground_notes(plan: PassPlan, site: _Site) -> list[tuple[PlanNote, str]]:
    """Return what has to be known of ground that stays undone, and of passes that leave the field."""
    notes = []
    if plan.undone_m2 is not None and plan.undone_m2 >= LEAST_UNDONE_M2:
        notes.append((PlanNote.UNDONE, f"{plan.undone_m2:.0f}"))
    if plan.undone_headland_m2 is not None and plan.undone_headland_m2 >= LEAST_UNDONE_M2:
        notes.append((PlanNote.UNDONE_CORNERS, f"{plan.undone_headland_m2:.0f}"))
    if site.whole is not None and plan.pieces:
        corners = np.vstack([site.plane.forward(piece.points) for piece in plan.pieces])
        out = float(shapely.distance(site.whole, shapely.points(corners)).max())
        if out > SLACK_M:
            notes.append((PlanNote.OVER_EDGE, f"{out:.1f}"))
    return notes
