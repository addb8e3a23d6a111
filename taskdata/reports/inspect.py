"""What is in a set: farms, fields, guidance lines, machines and tasks, as one JSON document or as text.

Areas and lengths are geodesic on WGS 84, headings clockwise from true north.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np

from taskdata.geometry import geodesy, holes
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Customer, Field, GuidanceKind, GuidanceLine
from taskdata.model.logs import Log
from taskdata.model.machines import Crop, Machine, Worker
from taskdata.model.shapes import Coordinates
from taskdata.model.tasks import Grid, Task
from taskdata.model.whereabouts import bounds, centre
from taskdata.progress import stage
from taskdata.quantities.units import System
from taskdata.reports.choosing import chosen_document, notes_of
from taskdata.reports.reading import reading_document
from taskdata.reports.values import log_values, machine_values, task_values

_COURSES = {GuidanceKind.AB, GuidanceKind.CURVE, GuidanceKind.SPIRAL}
_AT_ONCE = 1_024
"""Fields whose figures are computed together."""
_REMEMBERED = 5_000
"""Fields up to which their figures are remembered."""
_known: WeakKeyDictionary[Field, dict[str, Any]] = WeakKeyDictionary()
"""Figures of fields whose outlines nobody can change; a page asks for them several times."""


def inspect_document(dataset: Dataset, values: System | None = None) -> dict[str, Any]:
    """Return what is in a set as a document of plain values.

    Logs are looked through for their number of records and their span.

    Parameters
    ----------
    values : "metric" or "us", optional
        Also list the values of machines, tasks and logs, in these units where the set does not say how to show them.

    Returns
    -------
    dict
        ``source``, ``format``, ``version``, ``origin``, ``counts``, ``centre`` and ``bounds`` in degrees (see
        `taskdata.model.whereabouts`), and lists of ``customers``, ``farms``, ``fields``, ``guidance``, ``machines``,
        ``products``, ``workers``, ``crops`` and ``tasks``; with ``values`` each machine, task and log has a list of
        them. Areas in m², lengths in m, headings in degrees, stamps in local time.
    """
    return {
        "source": dataset.source,
        "format": dataset.format,
        "version": version_text(dataset),
        "origin": dataset.origin,
        "counts": dict(dataset.counts),
        "centre": _listed(centre(dataset)),
        "bounds": _listed(bounds(dataset)),
        "customers": [_person(customer) for customer in dataset.customers],
        "farms": [{"id": farm.id, "name": farm.name, "customer": farm.customer} for farm in dataset.farms],
        "fields": field_documents(dataset.fields),
        "guidance": [
            guidance_document(line, field)
            for field in dataset.fields
            for line in (*field.guidance, *field.line_guidance)
        ],
        "machines": [_machine(machine, values) for machine in dataset.machines],
        "products": [{"id": item.id, "name": item.name, "mixture": item.mixture} for item in dataset.products],
        "workers": [_person(worker) for worker in dataset.workers],
        "crops": [_crop(crop) for crop in dataset.crops],
        "tasks": [_task(task, dataset, values) for task in dataset.tasks],
        **chosen_document(dataset.chosen),
        **reading_document(dataset.findings, notes_of(dataset.chosen)),
    }


def version_text(dataset: Dataset) -> str | None:
    """Return the version of the standard such as ``4.3``, None where the set does not say."""
    return None if dataset.version is None else ".".join(str(number) for number in dataset.version)


def field_document(field: Field) -> dict[str, Any]:
    """Return the figures of a field: those of its boundary polygons, holes taken out of the area."""
    return field_documents([field])[0]


def field_documents(fields: Sequence[Field]) -> list[dict[str, Any]]:
    """Return the figures of each field, computed together."""
    found = [dict(known) if (known := _known.get(field)) is not None else None for field in fields]
    new = [at for at, figures in enumerate(found) if figures is None]
    with stage("Measuring fields", "fields", len(new)) as advance:
        for start in range(0, len(new), _AT_ONCE):
            here = new[start : start + _AT_ONCE]
            for at, figures in zip(here, _figures([fields[at] for at in here]), strict=True):
                found[at] = figures
                rings = [ring for area in fields[at].boundaries for ring in (*area.exteriors, *area.interiors)]
                if len(new) <= _REMEMBERED and not any(ring.flags.writeable for ring in rings):
                    _known[fields[at]] = dict(figures)
            advance(len(here))
    return [figures for figures in found if figures is not None]


def _figures(fields: Sequence[Field]) -> Iterator[dict[str, Any]]:
    """Yield the figures of some fields."""
    outer = [[ring for area in field.boundaries for ring in area.exteriors] for field in fields]
    inner = [[ring for area in field.boundaries for ring in area.interiors] for field in fields]
    rings = [ring for both in zip(outer, inner, strict=True) for some in both for ring in some]
    sizes, lengths = iter(np.abs(geodesy.ring_areas(rings)).tolist()), iter(geodesy.ring_perimeters(rings).tolist())
    for field, exteriors, interiors in zip(fields, outer, inner, strict=True):
        areas = [next(sizes) for _ in range(len(exteriors) + len(interiors))]
        yield {
            "id": field.id,
            "name": field.name,
            "area_m2": _area(exteriors, interiors) if interiors else math.fsum(areas),
            "perimeter_m": math.fsum(next(lengths) for _ in areas),
            "declared_area_m2": field.declared_area_m2,
            "polygons": len(exteriors),
            "holes": len(interiors),
        }


def guidance_document(line: GuidanceLine, field: Field | None = None) -> dict[str, Any]:
    """Return the figures of a guidance line and the identifier of the field it lies in."""
    return {
        "id": line.id or "",
        "name": line.name,
        "kind": str(line.kind),
        "field": None if field is None else field.id,
        "length_m": geodesy.line_length(line.points) if line.kind in _COURSES and len(line.points) > 1 else None,
        "heading_deg": _heading(line),
        "spacing_m": line.spacing_m,
        "radius_m": line.radius_m,
    }


def log_document(log: Log) -> dict[str, Any]:
    """Return the number of records of a log and the span they cover; None where they cannot be read."""
    count, extent = log.length, log.extent
    if count is None or extent is None:
        return {"file": log.file, "records": None, "start": None, "end": None}
    return {
        "file": log.file,
        "records": count,
        "start": None if extent.start is None else _stamp(extent.start),
        "end": None if extent.end is None else _stamp(extent.end),
    }


def _area(exteriors: list[Coordinates], interiors: list[Coordinates]) -> float:
    """Return the area of outlines in m²; each hole is taken out of the outline that contains it."""
    groups = holes.group(exteriors, interiors).groups
    return math.fsum(geodesy.polygon_area([exterior], inside) for exterior, inside in groups)


def _heading(line: GuidanceLine) -> float | None:
    """Return the stated heading of a direction, the azimuth from first to last point of a course."""
    if line.kind is GuidanceKind.A_PLUS:
        return line.heading_deg
    if line.kind not in _COURSES or len(line.points) < 2:
        return None
    azimuth = geodesy.azimuth(line.points[0], line.points[-1])
    return None if math.isnan(azimuth) else azimuth


def _listed(degrees: tuple[float, ...] | None) -> list[float] | None:
    return None if degrees is None else list(degrees)


def _person(person: Customer | Worker) -> dict[str, Any]:
    return {"id": person.id, "name": person.name, "first_name": person.first_name}


def _crop(crop: Crop) -> dict[str, Any]:
    varieties = [{"id": variety.id, "name": variety.name} for variety in crop.varieties]
    return {"id": crop.id, "name": crop.name, "varieties": varieties}


def _machine(machine: Machine, values: System | None) -> dict[str, Any]:
    found = {
        "id": machine.id,
        "name": machine.name,
        "working_width_m": machine.working_width_m,
        "sections": len(machine.sections),
        "connectors": len(machine.connectors),
        "client_name": machine.client_name,
    }
    return found if values is None else {**found, "values": machine_values(machine, values)}


def _task(task: Task, dataset: Dataset, values: System | None) -> dict[str, Any]:
    logs = [log_document(log) for log in task.logs]
    if values is not None:
        logs = [{**found, "values": log_values(log, values)} for found, log in zip(logs, task.logs, strict=True)]
    found = {
        "id": task.id,
        "name": task.name,
        "status": None if task.status is None else task.status.name.lower(),
        "field": task.field,
        "logs": logs,
        "grid": None if task.grid is None else _grid(task.grid),
    }
    return found if values is None else {**found, "values": task_values(task, values)}


def _grid(grid: Grid) -> dict[str, Any]:
    return {"type": grid.kind, "columns": grid.columns, "rows": grid.rows, "read": grid.cells is not None}


def _stamp(moment: np.datetime64) -> str:
    """Return an ISO text, to the second where it is a whole one."""
    whole = moment.astype("datetime64[s]")
    return str(whole if whole == moment else moment)
