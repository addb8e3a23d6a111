"""What machines did: their tracks, and the ground that tasks worked, worked twice, missed or worked outside a field."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from taskdata.formats.layers.coverage import KINDS
from taskdata.geometry.loops import polygons_of
from taskdata.geometry.metres import steps
from taskdata.model.dataset import Dataset
from taskdata.model.logs import Log
from taskdata.model.tasks import Task
from taskdata.page.scene import Coordinates, Form, SceneLayer, Shape
from taskdata.page.thinning import Budget, thinned_lines
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.results.coverage import Coverage, Known

TRACKS = Budget(20_000, 2e-6, 1e-3)
"""Of all tracks together, from about 0.2 m to 100 m."""
GAP_M = 100.0
"""Neighbouring positions farther apart than this are not joined: the log has a gap there."""


def track_layers(dataset: Dataset, word: Wording) -> Iterator[SceneLayer]:
    """Yield the tracks of all logs as one layer, thinned where there are many positions."""
    found = [(task, log, runs) for task in dataset.tasks for log in task.logs if (runs := _runs(log))]
    every = [run for _, _, runs in found for run in runs]
    slim = thinned_lines(every, TRACKS)
    count, kept = (sum(map(len, lines)) for lines in (every, slim))
    drawn = iter(slim)
    shapes = [_track(task, log, [next(drawn) for _ in runs], word) for task, log, runs in found]
    note = ""
    if kept < count:
        note = word.t(
            "Tracks are drawn with {kept} of {count} positions.", kept=word.number(kept, 0), count=word.number(count, 0)
        )
    yield SceneLayer("tracks", word.t(styles()["track"].label), shapes, shown=False, note=note)


def coverage_layers(tasks: Sequence[Coverage], word: Wording) -> Iterator[SceneLayer]:
    """Yield the ground of each kind, of all tasks together."""
    known = [task for task in tasks if task.known is not Known.NOTHING]
    for kind in KINDS:
        shapes = [_ground(task, kind, word) for task in known if kind in task.ground]
        yield SceneLayer(kind, word.t(styles()[kind].label), [shape for shape in shapes if shape.parts])


def _ground(task: Coverage, kind: str, word: Wording) -> Shape:
    parts = [[outline, *holes] for part in shapely.get_parts(task.ground[kind]) for outline, holes in polygons_of(part)]
    facts = [(word.t("Task"), task.name or task.task)]
    size = task.areas.by_kind.get(kind)
    if size is not None:
        facts.append((word.t("Area in all"), word.area(size)))
    return Shape(Form.AREA, parts, kind, word.t(styles()[kind].label), facts)


def _track(task: Task, log: Log, runs: Sequence[Coordinates], word: Wording) -> Shape:
    facts = [(word.t("Task"), task.name or task.id)]
    if log.length is not None:
        facts.append((word.t("Records"), word.number(log.length, 0)))
    return Shape(Form.LINE, [list(runs)], "track", word.t("Track {file}", file=log.file), facts)


def _runs(log: Log) -> list[Coordinates]:
    """Return the positions of a log in pieces without a gap."""
    records = log.records
    if records is None:
        return []
    at = np.column_stack([records.lon, records.lat])
    at = at[np.isfinite(at).all(axis=1) & (np.abs(at) <= (180.0, 90.0)).all(axis=1) & at.any(axis=1)]
    if len(at) < 2:
        return []
    gaps = np.flatnonzero(np.hypot(*steps(at[:-1], at[1:]).T) > GAP_M) + 1
    return [run for run in np.split(at, gaps) if len(run) > 1]
