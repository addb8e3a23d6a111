"""Records moved by some metres east and north.

Each field moves in a local plane about itself, so that shapes, lengths and angles stay: 1e-8 relative within 2 km. East
and north are those of the middle of the field; 1 km away from it they turn by less than 0.02° at latitude 60. What does
not move stays the identical record, so that its stored texts stay exactly.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import field, replace
from typing import TypeVar

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.fieldwork.field_ground import plane_of
from taskdata.geometry.plane import LocalPlane
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceGroup, GuidanceLine
from taskdata.model.shapes import Area, Coordinates, Line, LineKind, Point
from taskdata.model.tasks import Grid, Task, Zone
from taskdata.phrases import phrase

FARTHEST_M = 100_000.0
"""A longer shift is taken for a typing error."""

Thing = TypeVar("Thing", Line, GuidanceLine)


@dataclass(frozen=True, slots=True)
class Scope:
    """What moves.

    Parameters
    ----------
    lines_only : bool
        Guidance lines alone: patterns, and lines of that kind before version 4. Else all that lies in the fields:
        boundaries, areas, lines, points, guidance with its areas, and the zones and grids of their tasks.
    field : str or None
        Identifier of the only field; None = every field, and every task.
    logs : bool
        Whether positions in logs are meant to move as well, which the caller does.
    stored_points : frozenset of str
        Identifiers of fields whose points in binary files the caller moved already.
    """

    lines_only: bool = True
    field: str | None = None
    logs: bool = False
    stored_points: frozenset[str] = frozenset()


def is_stored(point: Point) -> bool:
    """Tell whether a point lies in a binary file of the set."""
    return point.key is not None and point.key < 0


@dataclass(frozen=True, eq=False)
class Moved:
    """What moving gave: the set, how many things of each kind moved, and what stayed."""

    dataset: Dataset
    counts: Counter[str]
    losses: tuple[Loss, ...] = ()


@dataclass(eq=False)
class Mover:
    """Moves records of one field in its plane, and counts them."""

    plane: LocalPlane
    east: float
    north: float
    counts: Counter[str] = field(default_factory=Counter)

    def places(self, lonlat: Coordinates) -> Coordinates:
        """Return moved coordinates, (n, 2) degrees; a longitude stays on its side of the antimeridian."""
        moved = self.plane.inverse(self.plane.forward(lonlat) + np.array([self.east, self.north]))
        moved[:, 0] += 360.0 * np.round((lonlat[:, 0] - moved[:, 0]) / 360.0)
        lost = ~np.isfinite(moved).all(axis=1)
        moved[lost] = lonlat[lost]
        return moved

    def line(self, line: Thing) -> Thing:
        """Return a moved line or guidance line."""
        self.counts["lines"] += 1
        return replace(line, points=self.places(line.points))

    def area(self, area: Area) -> Area:
        """Return a moved area."""
        self.counts["areas"] += 1
        rings = [tuple(self.places(ring) for ring in listed) for listed in (area.exteriors, area.interiors)]
        return replace(area, exteriors=rings[0], interiors=rings[1])

    def point(self, point: Point) -> Point:
        """Return a moved point."""
        self.counts["points"] += 1
        lon, lat = self.places(np.array([[point.lon, point.lat]]))[0]
        return replace(point, lon=float(lon), lat=float(lat))

    def grid(self, grid: Grid) -> Grid:
        """Return a grid with its corner moved."""
        self.counts["grids"] += 1
        lon, lat = self.places(np.array([[grid.min_lon, grid.min_lat]]))[0]
        return replace(grid, min_lon=float(lon), min_lat=float(lat))

    def group(self, group: GuidanceGroup) -> GuidanceGroup:
        """Return a guidance group with its lines and all areas moved."""
        lines = tuple(
            replace(self.line(line), boundaries=tuple(self.area(area) for area in line.boundaries))
            for line in group.lines
        )
        return replace(group, lines=lines, boundaries=tuple(self.area(area) for area in group.boundaries))


def moved(dataset: Dataset, east: float, north: float, scope: Scope) -> Moved:
    """Move a set, a field or guidance lines.

    Parameters
    ----------
    dataset : Dataset
        What moves.
    east, north : float
        Metres.
    scope : Scope
        What of it.

    Returns
    -------
    Moved
        Its ledger names logs that stay, and points of a binary file that the caller did not move.
    """
    run = _Run(east, north, scope)
    fields = tuple(run.of_field(item) for item in dataset.fields)
    tasks = dataset.tasks if scope.lines_only else tuple(run.of_task(task) for task in dataset.tasks)
    return Moved(dataset.with_changes(fields=fields, tasks=tasks), run.counts, tuple(run.losses))


@dataclass(eq=False)
class _Run:
    """One move of a set."""

    east: float
    north: float
    scope: Scope
    counts: Counter[str] = field(default_factory=Counter)
    losses: list[Loss] = field(default_factory=list)
    planes: dict[str, LocalPlane] = field(default_factory=dict)

    def of_field(self, item: Field) -> Field:
        """Return a field moved as far as the scope says; its plane is kept for its tasks."""
        plane = plane_of(item)
        if plane is not None:
            self.planes[item.id] = plane
        if plane is None or self.scope.field not in {None, item.id}:
            return item
        mover = self._mover(plane)
        if self.scope.lines_only:
            return _lines_of(item, mover)
        stored = sum(map(is_stored, item.points))
        if item.id in self.scope.stored_points:
            self.counts["points"] += stored
        elif stored:
            why = phrase("they are in a binary file that lacks one of their coordinates, or that others share")
            self.losses.append(
                Loss(LossKind.DROPPED, item.id, phrase("the move of {stored} points", stored=stored), why)
            )
        return _all_of(item, mover)

    def of_task(self, task: Task) -> Task:
        """Return a task with its zones and grid moved, if it belongs to what moves."""
        if self.scope.field not in {None, task.field}:
            return task
        for log in () if self.scope.logs else task.logs:
            why = phrase("logs record work done and are moved only on request")
            self.losses.append(
                Loss(LossKind.CHANGED, task.id, phrase("log {file} stays where it was recorded", file=log.file), why)
            )
        plane = self.planes.get(task.field or "") or _own_plane(task)
        if plane is None:
            return task
        mover = self._mover(plane)
        zones = tuple(_zone(zone, mover) for zone in task.zones)
        return replace(task, zones=zones, grid=None if task.grid is None else mover.grid(task.grid))

    def _mover(self, plane: LocalPlane) -> Mover:
        return Mover(plane, self.east, self.north, self.counts)


def _lines_of(item: Field, mover: Mover) -> Field:
    """Return a field with its guidance lines moved."""
    groups = tuple(replace(group, lines=tuple(mover.line(line) for line in group.lines)) for group in item.groups)
    lines = tuple(mover.line(line) if line.kind is LineKind.GUIDANCE else line for line in item.lines)
    return replace(item, groups=groups, lines=lines)


def _all_of(item: Field, mover: Mover) -> Field:
    """Return a field with all that lies in it moved, but for points of a binary file."""
    mover.counts["fields"] += 1
    return replace(
        item,
        boundaries=tuple(mover.area(area) for area in item.boundaries),
        areas=tuple(mover.area(area) for area in item.areas),
        lines=tuple(mover.line(line) for line in item.lines),
        points=tuple(point if is_stored(point) else mover.point(point) for point in item.points),
        groups=tuple(mover.group(group) for group in item.groups),
    )


def _zone(zone: Zone, mover: Mover) -> Zone:
    if not zone.areas:
        return zone
    mover.counts["zones"] += 1
    before = mover.counts["areas"]
    areas = tuple(mover.area(area) for area in zone.areas)
    mover.counts["areas"] = before
    return replace(zone, areas=areas)


def _own_plane(task: Task) -> LocalPlane | None:
    """Return a plane about the zones and grid of a task that names no field with coordinates."""
    places: Sequence[Coordinates] = [ring for zone in task.zones for area in zone.areas for ring in area.exteriors]
    if task.grid is not None:
        places = [*places, np.array([[task.grid.min_lon, task.grid.min_lat]])]
    known = [part[np.isfinite(part).all(axis=1)] for part in places]
    if not any(len(part) for part in known) or not math.isfinite(sum(float(part.sum()) for part in known)):
        return None
    return LocalPlane.centred_on(np.vstack(known))
