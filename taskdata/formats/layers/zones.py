"""Layer ``treatment_zones``: the zones of tasks with their setpoints."""

from __future__ import annotations

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
    key_column,
)
from taskdata.formats.layers import rates
from taskdata.formats.layers.polygon_rows import layer_of_areas
from taskdata.formats.layers.row_edits import Changes
from taskdata.formats.layers.several import rearranged
from taskdata.model.dataset import Dataset
from taskdata.model.shapes import AreaKind
from taskdata.model.tasks import Setpoint, Task, Zone
from taskdata.quantities.units import System

_SETPOINTS = "a JSON list of objects with ddi, rate and unit, or with ddi and raw_value"
_OWNERS = ("product", "part")
_MEMBERS = {
    rates.DDI: (int,),
    rates.RATE: (int, float),
    rates.UNIT: (str,),
    rates.RAW: (int,),
} | dict.fromkeys(_OWNERS, (str,))


def entries(text: object) -> list[tuple[rates.Stated, dict[str, Any]]] | None:
    """Return what a JSON text says of each setpoint, and its product and part; None where it lists none."""
    try:
        found = strict_json.loads(str(text))
        good = isinstance(found, list) and all(map(_is_entry, found))
    except ValueError:
        return None
    if not good:
        return None
    members = (rates.DDI, rates.RATE, rates.UNIT, rates.RAW)
    return [
        (rates.Stated(*(item.get(name) for name in members)), {name: item.get(name) for name in _OWNERS})
        for item in found
    ]


def parsed(text: object) -> tuple[Setpoint, ...] | None:
    """Return the setpoints that a JSON text lists, by their raw values; None where it lists none."""
    found = entries(text)
    if found is None or any(said.ddi is None or said.raw is None for said, _ in found):
        return None
    return tuple(Setpoint(said.ddi or 0, said.raw or 0, **owners) for said, owners in found)


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
        *rates.columns("the first setpoint"),
        Column(
            "setpoints",
            ColumnType.TEXT,
            "All setpoints as a JSON list of objects with ddi, rate, unit, raw_value, product and part; of the first "
            "one the columns count if both were changed",
            meaning=parsed,
            takes=_SETPOINTS,
        ),
    ),
    may_be_empty=True,
)


def project(dataset: Dataset, units: System = "metric") -> Layer:
    """Return the layer of a data set."""
    every = [(task, zone) for task in dataset.tasks for zone in task.zones]
    return layer_of_areas(SPEC, every, lambda found: found[1].areas, lambda found: _row(*found, units))


def made(row: Row) -> Zone:
    """Return a new record of a row that came from nowhere in the source, its values all in ``setpoints``."""
    return Zone(
        code=row.get("code") or 0,
        name=row.get("name"),
        colour=row.get("colour"),
        areas=rearranged((), row.get(GEOMETRY), AreaKind.TREATMENT_ZONE),
        setpoints=parsed(row.get("setpoints")) or (),
    )


def edited(zone: Zone, changes: Changes) -> Zone:
    """Return the record with the changed columns of its row taken over, its values all in ``setpoints``."""
    values = changes.take("name", "colour")
    if "code" in changes.values:
        values["code"] = changes.values["code"]
    if "setpoints" in changes.values:
        found = parsed(changes.values["setpoints"])
        if found is None:
            changes.refuse("setpoints", changes.values["setpoints"], _SETPOINTS)
        elif found != zone.setpoints:
            values["setpoints"] = found
    if changes.moved:
        values["areas"] = rearranged(zone.areas, changes.geometry, AreaKind.TREATMENT_ZONE)
    return replace(zone, **values) if values else zone


def written(setpoints: tuple[Setpoint, ...], units: System = "metric") -> str:
    """Return setpoints as JSON text."""
    found = []
    for item in setpoints:
        ddi, rate, unit, raw = rates.stated(item, units)
        found.append(
            {
                "ddi": ddi,
                "rate": rate,
                "unit": unit,
                "raw_value": raw,
                **{name: getattr(item, name) for name in _OWNERS},
            }
        )
    return strict_json.dumps(found)


def _is_entry(item: object) -> bool:
    if not isinstance(item, dict) or not item.keys() <= _MEMBERS.keys():
        return False
    return all(
        value is None or (isinstance(value, _MEMBERS[name]) and not isinstance(value, bool))
        for name, value in item.items()
    )


def _row(task: Task, zone: Zone, units: System) -> Row:
    first = rates.stated(zone.setpoints[0], units) if zone.setpoints else rates.Stated()
    return {
        "key": zone.key,
        "task": task.id,
        "field": task.field,
        "code": zone.code,
        "name": zone.name,
        "colour": zone.colour,
        "ddi": first.ddi,
        "quantity": rates.named(first.ddi),
        "rate": first.rate,
        "unit": first.unit,
        "raw_value": first.raw,
        "setpoints": written(zone.setpoints, units),
    }
