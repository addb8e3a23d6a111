"""Coverage of the tasks of a data set, each on its own or together by field and operation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.fieldwork.applied.applied_ground import AppliedGround
from taskdata.fieldwork.applied.unmatched_maps import unmatched_maps
from taskdata.fieldwork.coverage.figures import figures, passes
from taskdata.fieldwork.coverage.joining import PlacedJob, joined, positions
from taskdata.fieldwork.coverage.rates import rates
from taskdata.fieldwork.driving.line_following import chosen_line, followed_line, line_following
from taskdata.fieldwork.field_ground import ground_of
from taskdata.fieldwork.implement import Settings, Switching
from taskdata.fieldwork.machine.working_tools import check_device
from taskdata.fieldwork.measured.quantity import measured_quantity
from taskdata.fieldwork.part_tree import Tree
from taskdata.fieldwork.sweeps.ground_cover import Outline, SweptGround
from taskdata.fieldwork.sweeps.log_work import LogWork
from taskdata.fieldwork.sweeps.operations import Operation, devices, operations_of, same_strip
from taskdata.fieldwork.sweeps.sources import Job, jobs
from taskdata.fieldwork.uncertainty.edge_doubts import is_told, position_m
from taskdata.fieldwork.uncertainty.intervals import with_intervals
from taskdata.fieldwork.uncertainty.known_ground import as_known, known_of
from taskdata.fieldwork.uncertainty.switched_ground import Switched
from taskdata.findings import Finding
from taskdata.geometry.plane import LocalPlane
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceLine
from taskdata.model.lookup import matching, one_of
from taskdata.model.tasks import Task
from taskdata.progress import stage
from taskdata.raised_rules.coverage.guessed_field import RULE as GUESSED_FIELD
from taskdata.raised_rules.coverage.no_boundary import RULE as NO_BOUNDARY
from taskdata.raised_rules.coverage.no_field import RULE as NO_FIELD
from taskdata.results.coverage import Coverage
from taskdata.results.driving import LineFollowing

_MOST = 0.5


@dataclass(frozen=True, slots=True)
class TaskChoice:
    """Which tasks (none named = all), compared with which field and line, and whether one operation counts as one.

    Tasks that are named are one operation, whatever the set says of them. With ``any_line`` and no named line they are
    compared with that line of their field that they were driven by, where one can be told.
    """

    tasks: tuple[str, ...] = ()
    field: str | None = None
    together: bool = False
    line: str | None = None
    any_line: bool = False


def cover_tasks(dataset: Dataset, settings: Settings, choice: TaskChoice) -> tuple[Coverage, ...]:
    """Return the coverage of the tasks of a data set that have logs, in the order of the set.

    Parameters
    ----------
    dataset : Dataset
        A set with logs; or layers without any, whose lines or points are then taken for tracks when the width is given.
    settings : Settings
    choice : TaskChoice

    Raises
    ------
    UsageError
        The set has no such task, field, line or device.
    """
    check_device(map(Tree, dataset.machines), settings.device)
    given = None if choice.field is None else dataset.field(choice.field)
    found = [placed(dataset, job, given) for job in _chosen(dataset, settings, choice)]
    groups = joined(found, named=len(choice.tasks) > 1) if choice.together else [[item] for item in found]
    sizes = [sum(len(source.records.time) for item in group for source in item.job.sources) for group in groups]
    covered: list[Coverage] = []
    with stage("Computing coverage", "records", sum(sizes)) as advance:
        for group, size in zip(groups, sizes, strict=True):
            covered += _coverages(group, settings, _lines(dataset, choice, group[0].field))
            advance(size)
    return tuple(covered)


@dataclass(frozen=True, slots=True)
class _Lines:
    """The line that passes are compared with, or else those of the field that they may have been driven by."""

    named: GuidanceLine | None
    near: Sequence[GuidanceLine] = ()


def _lines(dataset: Dataset, choice: TaskChoice, field: Field | None) -> _Lines:
    if choice.line is not None:
        return _Lines(chosen_line(dataset, choice.line, field))
    return _Lines(None, (*field.guidance, *field.line_guidance) if choice.any_line and field is not None else ())


def _chosen(dataset: Dataset, settings: Settings, choice: TaskChoice) -> list[Job]:
    everything = jobs(dataset, tracks=settings.implement.width_m is not None, delay_s=settings.delay_s)
    if choice.tasks:
        named = {name: matching(everything, name) or [one_of(everything, name, "task")] for name in choice.tasks}
        wanted = {id(job) for found in named.values() for job in found}
        return [job for job in everything if id(job) in wanted]
    return [job for job in everything if job.logged]


def placed(dataset: Dataset, job: Job, given: Field | None = None) -> PlacedJob:
    """Return a job with its field: the one that is given, that it names, or that most of its positions lie in."""
    if given is not None:
        return PlacedJob(job, given, _boundary_note(given))
    named = next((field for field in dataset.fields if field.id == job.field), None)
    if named is not None:
        return PlacedJob(job, named, _boundary_note(named))
    places = positions(job.sources)
    for field in dataset.fields if len(places) else ():
        plane = LocalPlane.centred_on(places)
        outline = ground_of(field.boundaries, plane)
        shapely.prepare(outline)
        if outline is not None and shapely.contains_xy(outline, *plane.forward(places).T).mean() > _MOST:
            return PlacedJob(job, field, GUESSED_FIELD.at(job.place, element=job.id, name=field.name))
    return PlacedJob(job, None, NO_FIELD.at(job.place, name=job.id))


def _boundary_note(field: Field) -> Finding | None:
    return None if _has_boundary(field) else NO_BOUNDARY.at(field.place, name=field.name)


def _has_boundary(field: Field) -> bool:
    return any(len(ring) >= 3 for area in field.boundaries for ring in area.exteriors)


def _plane(group: Sequence[PlacedJob], field: Field | None) -> LocalPlane:
    rings = [ring for area in field.boundaries for ring in area.exteriors if len(ring)] if field else []
    points = [*rings, *(positions(item.job.sources) for item in group)]
    whole = np.concatenate([part[:, :2] for part in points]) if points else np.empty((0, 2))
    return LocalPlane.centred_on(whole) if np.isfinite(whole).all(axis=1).any() else LocalPlane(0.0, 0.0)


@dataclass(frozen=True, eq=False)
class _Site:
    """Jobs on one field, with its plane and outline, and the lines that they are compared with."""

    group: Sequence[PlacedJob]
    plane: LocalPlane
    outline: Outline | None
    lines: _Lines


def _coverages(group: Sequence[PlacedJob], settings: Settings, lines: _Lines) -> Iterator[Coverage]:
    """Yield the coverage of jobs on one field, or of one job, by operation; against a line where one is named."""
    field = group[0].field
    plane = _plane(group, field)
    outline = None if field is None else Outline.of(field.boundaries, plane)
    operations, common = operations_of([source for item in group for source in item.job.sources], plane, settings)
    for operation in operations or [Operation([], [], set())]:
        others = [other for other in operations if other is not operation]
        told = (*_job_notes(group), *common, *operation.notes, *same_strip(group[0].job.place, operation, others))
        site = _Site(group, plane, outline, lines)
        yield _coverage(site, operation, settings, told)


def _coverage(site: _Site, operation: Operation, settings: Settings, told: tuple[Finding, ...]) -> Coverage:
    group, plane = site.group, site.plane
    logs, done = operation.logs, [work for tools in operation.logs for work in tools]
    works = _with_tasks(done, group)
    told = (*told, *unmatched_maps(works))
    with stage("Uniting what was swept", ""):
        ground = SweptGround(done, plane, site.outline, settings.cell_m)
        switched = Switched(ground)
        areas = with_intervals(ground.areas(settings.ignore_under_m2), ground, switched)
    field, sources = group[0].field, [source for item in group for source in item.job.sources]
    applied = AppliedGround(works, plane, None if site.outline is None else site.outline.shape)
    found = Coverage(
        tuple(item.job.id for item in group),
        group[0].job.name,
        None if field is None else field.id,
        tuple(source.log.file for source in sources),
        sum(len(source.records.time) for source in sources),
        areas,
        figures(logs, areas.worked_m2, settings.implement),
        rates(done, ground, areas.worked_m2),
        passes(logs, settings.implement),
        _followed(site, logs, settings),
        _method(done, settings, ground.cell),
        told,
        devices(logs),
        plane=plane,
        draw_runs=applied.runs,
        apply=applied.quantities,
        compare=applied.zones,
        measure=lambda: None if settings.measuring is None else measured_quantity(ground, settings.measuring),
        draw=lambda: ground.places(settings.ignore_under_m2, {"missed": switched.missed, "outside": switched.outside}),
    )
    return as_known(found, known_of(done, told))


def _followed(site: _Site, logs: Sequence[Sequence[LogWork]], settings: Settings) -> LineFollowing | None:
    if site.lines.named is not None:
        return line_following(logs, site.lines.named, site.plane, settings.implement)
    return followed_line(logs, site.lines.near, site.plane, settings.implement)


def _with_tasks(works: Sequence[LogWork], group: Sequence[PlacedJob]) -> list[tuple[LogWork, Task | None]]:
    """Return each work with the task that its log is of."""
    of = {id(source): item.job.task for item in group for source in item.job.sources}
    return [(work, of.get(id(work.source))) for work in works]


def _job_notes(group: Sequence[PlacedJob]) -> Iterator[Finding]:
    for item in group:
        if item.note is not None:
            yield item.note
        yield from item.job.notes
        yield from item.apart


def _method(works: Sequence[LogWork], settings: Settings, cell_m: float | None) -> str:
    if not works:
        return "none: the working width is unknown"
    if cell_m is None:
        way = (
            "exact polygons of what each section swept from record to record, counted by how often each spot was "
            "covered"
        )
    else:
        way = f"raster of {cell_m:g} m cells of what each section swept from record to record"
        way += ", since it overlaps too often for polygons" if settings.cell_m is None else ""
    heading = f"heading from the path over {settings.heading_over_m:g} m, along arcs from record to record"
    heading += "; the rear axle follows the antenna" if any(item.chain.follows for item in works) else ""
    heading += "; a trailed implement follows its hitch" if any(item.chain.trailed for item in works) else ""
    basis = ", ".join(dict.fromkeys(str(item.states.basis) for item in works))
    change = "at the later record" if settings.switching is Switching.RECORD else "halfway between two records"
    good = " and ".join(f"{scatter:g} m" for scatter in sorted({position_m(item) for item in works}))
    usual = "" if is_told(works) else ", which no log states"
    return f"{way}; {heading}; work by {basis}, switched {change}; position accuracy {good}{usual}"
