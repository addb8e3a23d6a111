"""What points that are no log with times are: marks, the A of guidance lines, a log without times, cells of rates."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from taskdata.formats.foreign.roles.ground_facts import median
from taskdata.formats.foreign.roles.layer import Layer
from taskdata.formats.foreign.roles.weighing import Decision, Evidence, decide
from taskdata.formats.foreign.times import time_columns
from taskdata.geometry.metres import steps
from taskdata.model.shapes import PointKind
from taskdata.results.survey import ColumnRole, ItemKind

_BEFORE = {ItemKind.POINT: 1.5, ItemKind.LOG: -1.5, ItemKind.GUIDANCE: -1.5, ItemKind.RATEMAP: -2.0}
_MANY = 50
_NEAR_M = 30.0
"""How far a machine goes from record to record at most, usually (common practice: a record a second)."""

_POINTS = frozenset(kind.name.lower() for kind in PointKind) - {"guidance_a"} | {"obstacle", "sampling_route", "points"}


def of_points(layer: Layer) -> Decision:
    """Return what the points of a layer most likely are, of which `position_log` makes no log."""
    return decide(_BEFORE, (*_of_name(layer), *_of_columns(layer), *_of_steps(layer)))


def _of_name(layer: Layer) -> Iterator[Evidence]:
    said = set(layer.words)
    if "guidance" in said:
        yield Evidence("its name says so", {ItemKind.GUIDANCE: 2.5})
    elif said & _POINTS:
        yield Evidence("its name says so", {ItemKind.POINT: 2.5})
    elif said & {"log", "swath"}:
        yield Evidence("its name says so", {ItemKind.LOG: 2.0})
    elif said & {"ratemap", "treatment_zone"}:
        yield Evidence("its name says so", {ItemKind.RATEMAP: 2.5})


def _of_columns(layer: Layer) -> Iterator[Evidence]:
    if layer.has(ColumnRole.TIME) or time_columns(layer.raw.table):
        yield Evidence("its times do not go on as those of a drive", {ItemKind.LOG: -6.0})
    if layer.has(ColumnRole.SPEED, ColumnRole.STATE):
        yield Evidence("columns hold what a machine did", {ItemKind.LOG: 2.0, ItemKind.GUIDANCE: -1.0})
    elif layer.has(ColumnRole.HEADING) and layer.count < _MANY:
        yield Evidence("a column holds headings", {ItemKind.GUIDANCE: 3.5, ItemKind.LOG: 0.5})
    if layer.has(ColumnRole.WIDTH) and layer.count < _MANY:
        yield Evidence("a column holds a width", {ItemKind.GUIDANCE: 1.5})
    if layer.has(ColumnRole.RATE):
        yield Evidence("a column holds rates", {ItemKind.RATEMAP: 1.5, ItemKind.LOG: 1.0})
    if layer.named_apart >= 0.8 and layer.count < _MANY:
        yield Evidence("each has a name of its own", {ItemKind.POINT: 0.7, ItemKind.GUIDANCE: 0.5, ItemKind.LOG: -1.0})


def _of_steps(layer: Layer) -> Iterator[Evidence]:
    if layer.count < _MANY:
        yield Evidence("they are few", {ItemKind.LOG: -1.5, ItemKind.RATEMAP: -1.0})
        return
    points = shapely.get_coordinates(layer.geometries)
    gaps = np.hypot(*steps(points[:-1], points[1:]).T)
    yield Evidence("they are many", {ItemKind.POINT: -1.5, ItemKind.GUIDANCE: -3.0})
    if median(gaps) <= _NEAR_M and float((gaps <= 3.0 * _NEAR_M).mean()) >= 0.9:
        yield Evidence("they follow each other closely", {ItemKind.LOG: 2.5})
