"""Layer ``swaths``: passes as they were driven, each with the width that worked."""

from __future__ import annotations

import numpy as np

from taskdata.formats.columns import (
    GEOMETRY,
    KEY,
    Column,
    ColumnType,
    GeometryType,
    Layer,
    LayerSpec,
    Row,
    from_rows,
    key_column,
)
from taskdata.formats.geometries import shapes
from taskdata.geometry.geodesy import line_length
from taskdata.model.dataset import Dataset
from taskdata.model.swaths import Swath
from taskdata.model.tasks import Task

SPEC = LayerSpec(
    "swaths",
    GeometryType.LINE,
    "Passes in the order and direction of driving, as they were recovered from coverage: the middle of what worked, a "
    "row for each part of a pass along which the width stays the same. Its logs are made of them again.",
    (
        key_column("task"),
        Column("order", ColumnType.INTEGER, "Number of the pass in the order of driving, from 1; empty = not known"),
        Column("part", ColumnType.INTEGER, "Number of the part in its pass, from 1"),
        Column("task", ColumnType.TEXT, "Identifier of the task"),
        Column("name", ColumnType.TEXT, "Name of the task"),
        Column("field", ColumnType.TEXT, "Identifier of the field"),
        Column("width_m", ColumnType.REAL, "Width that worked"),
        Column(
            "heading_deg",
            ColumnType.REAL,
            "From first to last point; empty = which is the first is not known",
            short="heading",
        ),
        Column("length_m", ColumnType.REAL, "Length on the ellipsoid", derived=True),
        Column("start", ColumnType.TIME, "Time at the first point"),
        Column("end", ColumnType.TIME, "Time at the last point"),
    ),
    identity=("task", "order", "part"),
)


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    return from_rows(SPEC, [_row(task, swath) for task in dataset.tasks for swath in task.swaths])


def _row(task: Task, swath: Swath) -> Row:
    return {
        KEY: task.key,
        "order": swath.order,
        "part": swath.part,
        "task": task.id,
        "name": task.name,
        "field": task.field,
        "width_m": swath.width_m,
        "heading_deg": swath.heading_deg,
        "length_m": line_length(swath.points),
        "start": _stamp(swath.start),
        "end": _stamp(swath.end),
        GEOMETRY: shapes.to_wkb(shapes.line(swath.points)),
    }


def _stamp(time: np.datetime64 | None) -> object:
    return None if time is None or np.isnat(time) else time.astype("datetime64[ms]").item()
