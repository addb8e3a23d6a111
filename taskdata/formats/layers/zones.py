"""Layer ``treatment_zones``: the zones of tasks with their setpoints."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from taskdata import strict_json
from taskdata.formats.columns import (
    GEOMETRY,
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
from taskdata.formats.layers import wording
from taskdata.formats.layers.row_edits import Changes
from taskdata.formats.layers.several import rearranged
from taskdata.model.dataset import Dataset
from taskdata.model.shapes import AreaKind
from taskdata.model.tasks import Setpoint, Task, Zone

_SETPOINTS = "a JSON list of objects with ddi and value, whole numbers"


def parsed(text: object) -> tuple[Setpoint, ...] | None:
    """Return the setpoints that a JSON text lists, None where it lists none."""
    try:
        found = tuple(Setpoint(**item) for item in json.loads(str(text)))
    except (ValueError, TypeError):
        return None
    whole = all(isinstance(item.ddi, int) and isinstance(item.value, int) for item in found)
    return found if whole else None


SPEC = LayerSpec(
    "treatment_zones",
    GeometryType.MULTIPOLYGON,
    "Treatment zones of tasks; a zone without polygons has a row without geometry. Rates feed machines: obey the "
    "product label.",
    (
        key_column("zone"),
        Column("task", ColumnType.TEXT, "Identifier of the task"),
        Column("field", ColumnType.TEXT, "Identifier of the field of the task", derived=True),
        Column("code", ColumnType.INTEGER, "Number of the zone in its task"),
        Column("name", ColumnType.TEXT, "Name"),
        Column("colour", ColumnType.INTEGER, "Number in the standard's palette"),
        Column("ddi", ColumnType.INTEGER, "Data dictionary number of the first setpoint"),
        Column("quantity", ColumnType.TEXT, "Meaning of that number, and the unit of the raw value", derived=True),
        Column("value", ColumnType.INTEGER, "Raw value of the first setpoint"),
        Column(
            "setpoints",
            ColumnType.TEXT,
            "All setpoints as a JSON list of objects with ddi, value, product and part",
            meaning=parsed,
            takes=_SETPOINTS,
        ),
    ),
    may_be_empty=True,
)


def project(dataset: Dataset) -> Layer:
    """Return the layer of a data set."""
    return from_rows(SPEC, [_row(task, zone) for task in dataset.tasks for zone in task.zones])


def made(row: Row) -> Zone:
    """Return a new record of a row that came from nowhere in the source."""
    points = parsed(row.get("setpoints"))
    first: dict[str, Any] = {name: row.get(name) for name in ("ddi", "value")}
    if not points and set(first.values()) != {None}:
        points = (Setpoint(**first),)
    return Zone(
        code=row.get("code") or 0,
        name=row.get("name"),
        colour=row.get("colour"),
        areas=rearranged((), row.get(GEOMETRY), AreaKind.TREATMENT_ZONE),
        setpoints=points or (),
    )


def edited(zone: Zone, changes: Changes) -> Zone:
    """Return the record with the changed columns of its row taken over; ``value`` decides over ``setpoints``."""
    values = changes.take("name", "colour")
    if "code" in changes.values:
        values["code"] = changes.values["code"]
    values |= _setpoints(zone, changes)
    if changes.moved:
        values["areas"] = rearranged(zone.areas, changes.geometry, AreaKind.TREATMENT_ZONE)
    return replace(zone, **values) if values else zone


def written(setpoints: tuple[Setpoint, ...]) -> str:
    """Return setpoints as JSON text."""
    found = [{"ddi": item.ddi, "value": item.value, "product": item.product, "part": item.part} for item in setpoints]
    return strict_json.dumps(found)


def _setpoints(zone: Zone, changes: Changes) -> dict[str, Any]:
    points = zone.setpoints
    if "setpoints" in changes.values:
        found = parsed(changes.values["setpoints"])
        if found is None:
            changes.refuse("setpoints", changes.values["setpoints"], _SETPOINTS)
        else:
            points = found
    first = changes.take("ddi", "value")
    if first:
        points = _first_changed(points, first, changes)
    return {} if points == zone.setpoints else {"setpoints": points}


def _first_changed(points: tuple[Setpoint, ...], first: dict[str, Any], changes: Changes) -> tuple[Setpoint, ...]:
    if points:
        return (replace(points[0], **first), *points[1:])
    if len(first) == 2:
        return (Setpoint(**first),)
    changes.refuse(*next(iter(first.items())), "a number where ddi and value are both given")
    return points


def _row(task: Task, zone: Zone) -> Row:
    first = zone.setpoints[0] if zone.setpoints else None
    return {
        "key": zone.key,
        "task": task.id,
        "field": task.field,
        "code": zone.code,
        "name": zone.name,
        "colour": zone.colour,
        "ddi": first and first.ddi,
        "quantity": first and wording.quantity_names().get(first.ddi),
        "value": first and first.value,
        "setpoints": written(zone.setpoints),
        GEOMETRY: shapes.to_wkb(shapes.multipolygon(zone.areas)),
    }
