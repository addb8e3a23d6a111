"""Fields derived from logs and swaths where no boundary lies.

The rule: the outline of a field is that of the ground that was worked (see `worked_ground`), with gaps and notches up
to `GAP_WIDTHS` working widths closed, as between passes that were not driven, and without holes below `LEAST_HOLE_M2`.
Pieces below `LEAST_FIELD_M2` are left out. Work over the same ground is one field.

The area is known to lie between two sizes: all that was worked, less what its edge may lie off, and all within the
outline, with that. Where the field reaches beyond what was worked, it is larger.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import count
from typing import Any

import shapely

from taskdata.dataclass import dataclass
from taskdata.fieldwork.coverage.joining import positions
from taskdata.fieldwork.coverage.task_coverage import placed
from taskdata.fieldwork.field_ground import ground_of
from taskdata.fieldwork.outlines.worked_ground import GAP_WIDTHS, WorkedGround, worked_ground
from taskdata.fieldwork.sweeps.sources import Job, jobs
from taskdata.findings import Finding, Place
from taskdata.geometry.geodesy import polygon_area
from taskdata.geometry.loops import only_polygons, polygons_of
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.slivers import closed, without_holes
from taskdata.model.dataset import Dataset
from taskdata.model.derived import derived_name
from taskdata.model.fields import Field
from taskdata.model.shapes import Area, AreaKind
from taskdata.progress import each
from taskdata.raised_rules.import_.field_derived import RULE as FIELD_DERIVED
from taskdata.raised_rules.import_.no_outline import RULE as NO_OUTLINE

LEAST_HOLE_M2, LEAST_FIELD_M2 = 200.0, 500.0
_SAME_GROUND, _INSIDE, _SIMPLE_M, _HA = 0.5, 0.5, 0.05, 1e-4
_NO_WIDTH = "nothing says how wide it worked, and its track has no passes side by side"


@dataclass(eq=False)
class _Plot:
    """Ground that becomes one field, in a plane of its own."""

    plane: LocalPlane
    jobs: list[Job]
    found: list[WorkedGround]

    @property
    def worked(self) -> Any:
        return only_polygons(shapely.union_all([item.shape for item in self.found]))

    @property
    def outline(self) -> Any:
        width = max(item.width_m for item in self.found)
        ground = without_holes(closed(self.worked, GAP_WIDTHS * width), LEAST_HOLE_M2)
        parts = shapely.get_parts(shapely.simplify(ground, _SIMPLE_M))
        return shapely.MultiPolygon(list(parts[shapely.area(parts) >= LEAST_FIELD_M2]))


def with_derived_fields(dataset: Dataset) -> Dataset:
    """Return a data set in which work that lies in no field with a boundary has one, and what was concluded.

    A field that the work names gets the outline as its boundary; else a new field is made, which the tasks then name.
    """
    plots: list[_Plot] = []
    notes: list[Finding] = []
    for job in each(jobs(dataset, tracks=False), "Deriving fields", "tasks"):
        if not job.sources or _has_field(dataset, job):
            continue
        places = positions(job.sources)
        plane = LocalPlane.centred_on(places) if len(places) else None
        found = None if plane is None else worked_ground(job, plane)
        if plane is None or found is None:
            notes.append(NO_OUTLINE.at(job.place, name=job.name or job.id, reason=_NO_WIDTH))
        else:
            plots.append(_Plot(plane, [job], [found]))
    fields, tasks = list(dataset.fields), list(dataset.tasks)
    for plot in _by_ground(plots):
        outline = plot.outline
        if shapely.is_empty(outline):
            reason = f"it worked less than {LEAST_FIELD_M2:g} m² in one piece"
            notes += [NO_OUTLINE.at(job.place, name=job.name or job.id, reason=reason) for job in plot.jobs]
            continue
        field = _field(fields, plot, outline)
        fields = [field if item.id == field.id else item for item in fields]
        fields += [] if field in fields else [field]
        own = {job.id for job in plot.jobs}
        tasks = [replace(task, field=field.id) if task.id in own else task for task in tasks]
        notes.append(_note(field, plot))
    if not notes:
        return dataset
    return dataset.with_changes(fields=tuple(fields), tasks=tuple(tasks), noted=(*dataset.noted, *notes))


def _has_field(dataset: Dataset, job: Job) -> bool:
    """Tell whether a job lies in a field with a boundary; one that task data names holds, wherever the job lies."""
    field = placed(dataset, job).field
    if field is None or not any(len(ring) >= 3 for area in field.boundaries for ring in area.exteriors):
        return False
    places = positions(job.sources)
    if dataset.lossless is not None or not len(places):
        return True
    plane = LocalPlane.centred_on(places)
    outline = ground_of(field.boundaries, plane)
    return outline is not None and bool(shapely.contains_xy(outline, *plane.forward(places).T).mean() > _INSIDE)


def _by_ground(plots: Sequence[_Plot]) -> list[_Plot]:
    """Return plots with those over the same ground as one, in the plane of the first."""
    kept: list[_Plot] = []
    for plot in plots:
        degrees = shapely.transform(plot.worked, plot.plane.inverse)
        for other in kept:
            here, there = shapely.transform(degrees, other.plane.forward), other.worked
            if shapely.area(shapely.intersection(here, there)) > _SAME_GROUND * min(here.area, there.area):
                other.jobs += plot.jobs
                other.found += [replace(item, shape=here) for item in plot.found]
                break
        else:
            kept.append(plot)
    return kept


def _field(fields: Sequence[Field], plot: _Plot, outline: Any) -> Field:
    low, high = _interval(plot, outline)
    name = derived_name(low, high)
    boundaries = tuple(
        Area(AreaKind.BOUNDARY, (plot.plane.inverse(outer),), tuple(map(plot.plane.inverse, holes)), name=name)
        for outer, holes in polygons_of(outline)
    )
    wanted = {job.field for job in plot.jobs}
    known = next((item for item in fields if item.id in wanted and not item.boundaries), None)
    if known is not None:
        return replace(known, boundaries=boundaries)
    taken = {item.id for item in fields}
    free = next(name for number in count(1) if (name := f"PFD{number}") not in taken)
    return Field(free, plot.jobs[0].name or f"Field of {plot.jobs[0].id}", boundaries=boundaries)


def _interval(plot: _Plot, outline: Any) -> tuple[float, float]:
    """Return between which sizes the area of a plot lies, square metres."""
    edge = max(item.edge_m for item in plot.found) * float(shapely.length(outline))
    inside = float(shapely.area(shapely.intersection(plot.worked, outline)))
    return max(inside - edge, 0.0), float(outline.area) + edge


def _note(field: Field, plot: _Plot) -> Finding:
    size = sum(polygon_area(area.exteriors, area.interiors) for area in field.boundaries)
    low, high = (f"{_HA * size_m2:.3f}" for size_m2 in _interval(plot, plot.outline))
    reason = " and ".join(dict.fromkeys(item.source for item in plot.found))
    area = f"{_HA * size:.3f} ha, between {low} and {high} ha"
    return FIELD_DERIVED.at(Place(element=field.id), name=field.name, reason=reason, area=area)
