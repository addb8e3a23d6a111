"""Layers of coverage as tasks: a log for each pass, and the machine of the recovered width."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import count
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from taskdata.dataclass import dataclass
from taskdata.fieldwork.swaths.implement_of import bar_of, implement_of
from taskdata.fieldwork.swaths.pass_logs import log_of, stamps_of, swaths_of
from taskdata.fieldwork.swaths.swath_findings import findings_of, findings_of_ground
from taskdata.fieldwork.swaths.swath_rows import SwathRows, joined_ground, on_the_ground, recovered
from taskdata.geometry.loops import polygons_of
from taskdata.geometry.nearest import Sites
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.slivers import JoinedGround
from taskdata.geometry.swaths.recover import Basis, Recovered
from taskdata.model.dataset import Dataset
from taskdata.model.logs import Log
from taskdata.model.machines import Machine
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.swaths import Swath
from taskdata.model.tasks import Task, TaskStatus
from taskdata.progress import each

_SAMPLE = 500


@dataclass(frozen=True, eq=False)
class SwathLayer:
    """Coverage of one layer.

    Parameters
    ----------
    label, file : str
        What to call it, and its file.
    name : str or None
        Of the task that it becomes.
    rows : SwathRows
    task, field : str or None
        Identifiers of task and field, where the layer says them.
    """

    label: str
    file: str
    name: str | None
    rows: SwathRows
    task: str | None = None
    field: str | None = None


def with_swaths(dataset: Dataset, layers: Sequence[SwathLayer]) -> Dataset:
    """Return a data set with a completed task for each layer of coverage, and what was concluded among its findings.

    Each task has a log for each pass and its swaths; a machine with a bar of the recovered width is added where the set
    has none of that width yet. A task belongs to the field that its layer names, else to the one that its passes lie in
    or near; see `Sites`. A layer of which nothing can be recovered leaves only findings.
    """
    for layer in each(layers, "Recovering passes", "layers"):
        ground = on_the_ground(layer.rows)
        found, clean = recovered(layer.rows, ground), joined_ground(ground)
        told = findings_of(layer.label, layer.file, layer.rows, ground, found)
        dataset = dataset.with_changes(
            noted=(*dataset.noted, *told, *findings_of_ground(layer.label, layer.file, clean))
        )
        if ground.plane is not None and found.width is not None:
            machine = implement_of(found.width.metres, dataset.machines)
            task = replace(_task(dataset, layer, found, ground.plane, machine), worked=_areas(clean, ground.plane))
            machines = dataset.machines if machine in dataset.machines else (*dataset.machines, machine)
            dataset = dataset.with_changes(machines=machines, tasks=(*dataset.tasks, task))
    return dataset


def _areas(clean: JoinedGround | None, plane: LocalPlane) -> tuple[Area, ...]:
    """Return joined ground as areas, in degrees."""
    found = [] if clean is None else polygons_of(clean.shape)
    return tuple(
        Area(AreaKind.OTHER, (plane.inverse(outer),), tuple(plane.inverse(hole) for hole in holes))
        for outer, holes in found
    )


def _task(dataset: Dataset, layer: SwathLayer, found: Recovered, plane: LocalPlane, machine: Machine) -> Task:
    taken = {task.id for task in dataset.tasks}
    free = (name for number in count(1) if (name := f"TSK{number}") not in taken)
    files = _files(dataset)
    logs: list[Log] = []
    swaths: list[Swath] = []
    for number, (one, directed) in enumerate(zip(found.passes, found.directed, strict=True), 1):
        stamps = stamps_of(one, layer.rows)
        logs.append(log_of(one, plane, stamps, bar_of(machine), next(files)))
        order = None if found.basis is Basis.NONE else number
        swaths += swaths_of(one, plane, stamps, order, directed=directed)
    return Task(
        layer.task if layer.task is not None and layer.task not in taken else next(free),
        TaskStatus.COMPLETED,
        name=layer.name,
        field=_field(dataset, layer, found, plane),
        logs=tuple(logs),
        swaths=tuple(swaths),
    )


def _files(dataset: Dataset) -> Iterator[str]:
    taken = {log.file for task in dataset.tasks for log in task.logs}
    return (name for number in count(1) if (name := f"TLG{number:05d}") not in taken)


def _field(dataset: Dataset, layer: SwathLayer, found: Recovered, plane: LocalPlane) -> str | None:
    """Return the field that a layer names, else the one that its passes lie in or near."""
    if any(field.id == layer.field for field in dataset.fields):
        return layer.field
    track: NDArray[Any] = np.concatenate([one.track for one in found.passes])
    at = np.linspace(0, len(track) - 1, min(_SAMPLE, len(track))).astype(np.intp)
    near = Sites(field.boundaries for field in dataset.fields).nearest(shapely.MultiPoint(plane.inverse(track[at])))
    return None if near is None else dataset.fields[near.index].id
