"""Things of layers without a field, given to the field of another source that they lie in.

Guidance, lines, points, areas and work that lie in no field of their own layers are of the field where they lie, which
may stand in another of the sources that are merged. A copy of that field, its name and boundary alone, takes them in,
so that merging recognises it and puts them where they belong.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace
from itertools import count
from typing import Any

import numpy as np
import shapely

from taskdata.dataclass import dataclass
from taskdata.findings import Place
from taskdata.geometry.nearest import Sites
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceLine
from taskdata.model.shapes import Area
from taskdata.model.tasks import Task

_SAMPLE = 500


def settled(datasets: Sequence[Dataset]) -> list[Dataset]:
    """Return data sets in which what layers hold of no field lies in copies of the fields of the others.

    Parameters
    ----------
    datasets : sequence of Dataset
        What is merged, as it was read; task data sets stay as they are.
    """
    known = [[item for item in dataset.fields if item.boundaries] for dataset in datasets]
    found = []
    for at, dataset in enumerate(datasets):
        others = [item for number, fields in enumerate(known) if number != at for item in fields]
        if dataset.lossless is not None or not others or not _lacks(dataset):
            found.append(dataset)
        else:
            found.append(_Settling(dataset, others).result())
    return found


def _lacks(dataset: Dataset) -> bool:
    homeless = any(not item.boundaries for item in dataset.fields)
    return homeless or any(task.field is None and task.logs for task in dataset.tasks)


@dataclass
class _Settling:
    """One data set while its things get fields."""

    dataset: Dataset
    others: Sequence[Field]
    copies: dict[int, Field] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.sites = Sites(item.boundaries for item in self.others)
        self.taken = {item.id for item in self.dataset.fields}

    def result(self) -> Dataset:
        """Return the data set with copies of fields, without those of its own that nothing is left in."""
        kept = []
        for item in self.dataset.fields:
            rest = item if item.boundaries else self._given_away(item)
            if rest is not None:
                kept.append(rest)
        tasks = tuple(self._task(task) for task in self.dataset.tasks)
        return self.dataset.with_changes(fields=(*kept, *self.copies.values()), tasks=tasks)

    def _given_away(self, item: Field) -> Field | None:
        """Give what a field without a boundary holds to the fields where it lies; return it with the rest, or None."""
        left: dict[str, list[Any]] = {"areas": [], "lines": [], "points": [], "groups": []}
        for name in ("areas", "lines", "points"):
            for thing in getattr(item, name):
                self._put(name, thing, self._near(_shape(thing)), left)
        for group in item.groups:
            near: dict[int | None, list[GuidanceLine]] = {}
            for line in group.lines:
                near.setdefault(self._near(_drawn(line.points)), []).append(line)
            for number, (at, some) in enumerate(near.items()):
                part = replace(group, lines=tuple(some), id=group.id if number == 0 else self._free("GGP"))
                self._put("groups", part, at, left)
        areas, lines, points, groups = (tuple(things) for things in left.values())
        rest = replace(item, areas=areas, lines=lines, points=points, groups=groups)
        return rest if any(left.values()) or item.id in {task.field for task in self.dataset.tasks} else None

    def _put(self, name: str, thing: Any, at: int | None, left: dict[str, list[Any]]) -> None:
        if at is None:
            left[name].append(thing)
            return
        copy = self._copy(at)
        held: dict[str, Any] = {name: (*getattr(copy, name), thing)}
        self.copies[at] = replace(copy, **held)

    def _near(self, shape: Any) -> int | None:
        near = self.sites.nearest(shape)
        return None if near is None else near.index

    def _copy(self, at: int) -> Field:
        if at not in self.copies:
            item = self.others[at]
            bounds = tuple(replace(area, id=None, key=None, place=Place()) for area in item.boundaries)
            self.copies[at] = Field(self._free("PFD"), item.name, boundaries=bounds)
        return self.copies[at]

    def _free(self, prefix: str) -> str:
        groups = {group.id for item in self.dataset.fields for group in item.groups}
        name = next(name for number in count(1) if (name := f"{prefix}{number}") not in self.taken | groups)
        self.taken.add(name)
        return name

    def _task(self, task: Task) -> Task:
        records = [log.records for log in task.logs] if task.field is None else []
        places = [np.column_stack([one.lon, one.lat]) for one in records if one is not None]
        placed = np.concatenate([np.empty((0, 2)), *places])
        placed = placed[np.isfinite(placed).all(axis=1)]
        if not len(placed):
            return task
        at = self._near(_drawn(placed[np.linspace(0, len(placed) - 1, min(_SAMPLE, len(placed))).astype(np.intp)]))
        return task if at is None else replace(task, field=self._copy(at).id)


def _shape(thing: Any) -> Any:
    if isinstance(thing, Area):  # where its outline lies tells its field as well
        return shapely.MultiLineString([np.asarray(ring) for ring in thing.exteriors if len(ring) > 1])
    points = getattr(thing, "points", None)
    return shapely.Point(thing.lon, thing.lat) if points is None else _drawn(points)


def _drawn(points: Any) -> Any:
    """Return positions (n, 2) in degrees as the line through them, or the one point."""
    return shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
