"""Machines, drives and fields as records, placed on the ellipsoid by geographiclib."""

from __future__ import annotations

import math

import numpy as np
from geographiclib.geodesic import Geodesic

from taskdata import coverage
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.logs import Log, Logged, LogRecords
from taskdata.model.machines import Machine, Part, PartKind, Quantity
from taskdata.model.shapes import Area, AreaKind
from taskdata.model.tasks import Connection, Task, TaskStatus

LON, LAT = 7.0, 54.3
START = np.datetime64("2024-04-18T07:00:00", "ms")
ON, OFF = 1, 0


def degrees(metres, lon=LON, lat=LAT):
    """Longitude and latitude of places given in metres east and north: along a geodesic from the origin."""
    found = [
        Geodesic.WGS84.Direct(lat, lon, math.degrees(math.atan2(x, y)), math.hypot(x, y))
        for x, y in np.asarray(metres, dtype=float)
    ]
    return np.array([(item["lon2"], item["lat2"]) for item in found])


def part(identifier, kind, number, parent=0, **constants):
    """A device element whose object number is its element number and one; constants are named ``ddi134``."""
    values = {int(name.removeprefix("ddi")): value for name, value in constants.items()}
    return Part(
        identifier,
        PartKind(kind),
        number,
        number + 1,
        parent,
        offset_x_m=values[134] / 1000 if 134 in values else None,
        quantities=tuple(Quantity(ddi, value=value) for ddi, value in values.items()),
    )


def sprayer(widths, *, x=0, identifier="DVC2", order=None, **boom):
    """A sprayer: root DET20, boom DET21 and sections DET22 and so on from left to right, widths in millimetres.

    ``order`` gives the sections other element numbers, and another place in the description.
    """
    left, sections = -sum(widths) / 2, []
    for index, width in enumerate(widths):
        number = 2 + (index if order is None else order[index])
        places = {"ddi135": round(left + width / 2), "ddi67": width}
        sections.append(part(f"DET{22 + index}", 4, number, 2, **places))
        left += width
    sections.sort(key=lambda item: item.number)
    boom = {"ddi134": x, "ddi135": 0, "ddi70": sum(widths)} | boom
    return Machine(identifier, parts=(part("DET20", 1, 0), part("DET21", 2, 1, 1, **boom), *sections))


def condensed(states):
    """The raw value of a condensed work state of up to 16 sections, left to right, as a log stores it."""
    value = sum(state << 2 * place for place, state in enumerate(states))
    value |= sum(3 << 2 * place for place in range(len(states), 16))
    return value - (1 << 32) if value >= 1 << 31 else value


def log(metres, values=None, *, seconds=None, file="TLG00001", place=degrees, status=None):
    """A log of places in metres, a record a second; values by (DDI, part): one, one a record, or pairs with records."""
    points = place(metres) if len(metres) else np.empty((0, 2))
    count = len(points)
    stamps = np.arange(count) if seconds is None else np.asarray(seconds)
    records, indices, raw = [], [], []
    channels = values or {}
    for index, value in enumerate(channels.values()):
        pairs = value if isinstance(value, dict) else dict(enumerate(np.broadcast_to(value, count).tolist()))
        records += list(pairs)
        indices += [index] * len(pairs)
        raw += list(pairs.values())
    order = np.argsort(records, kind="stable")
    found = LogRecords(
        time=START + np.round(1000 * stamps).astype("timedelta64[ms]"),
        lon=points[:, 0],
        lat=points[:, 1],
        up_m=None,
        status=None if status is None else np.asarray(status, dtype=np.uint8),
        value_record=np.array(records, dtype=np.int64)[order],
        value_index=np.array(indices, dtype=np.uint8)[order],
        value=np.array(raw, dtype=np.int64)[order].astype(np.int32),
    )
    return Log(file, tuple(Logged(ddi, name) for ddi, name in channels), lambda: found)


def field(metres, *holes, identifier="PFD1", place=degrees):
    """A field of one polygon in metres."""
    outline = place(metres)
    boundary = Area(AreaKind.BOUNDARY, (outline,), tuple(place(hole) for hole in holes))
    return Field(identifier, "Große Breite", boundaries=(boundary,))


def dataset(logs, machines=(), fields=(), *, connections=(), task_field="PFD1", **more):
    """A set with one task."""
    task = Task(
        "TSK1",
        TaskStatus.COMPLETED,
        name="Spritzen",
        field=task_field if fields else None,
        logs=tuple(logs),
        machines=tuple(machine.id for machine in machines),
        connections=tuple(Connection(*link) for link in connections),
        **more,
    )
    return Dataset("drive", "isoxml", machines=tuple(machines), fields=tuple(fields), tasks=(task,), lossless=object())


def covered(*parts, **options):
    """The coverage of the only task of a set."""
    (found,) = coverage(parts[0] if isinstance(parts[0], Dataset) else dataset(*parts), **options).tasks
    return found


def straight(length, step=1.0, *, x=0.0, start=0.0, back=False):
    """Places along a pass to the north; ``back`` drives it from its end to its start."""
    y = start + np.linspace(0.0, length, round(length / step) + 1)
    return np.column_stack([np.full(len(y), x), y[::-1] if back else y])


def passes(count, spacing, length, step=1.0, *, values=None, part="DET21"):
    """A log of passes up and down, with half a minute for each turn that is left out; on but for the turns."""
    ways = [straight(length, step, x=number * spacing, back=number % 2 == 1) for number in range(count)]
    on = np.concatenate([np.append(np.ones(len(way) - 1, dtype=int), 0) for way in ways])
    seconds = np.concatenate([np.arange(len(way)) + number * (len(way) + 30.0) for number, way in enumerate(ways)])
    return log(np.concatenate(ways), {(141, part): on} | (values or {}), seconds=seconds)


def rings(found, kind):
    """The area that is drawn of a kind, on the ellipsoid."""
    total = 0.0
    for piece in found.ground[kind].geoms:
        for number, ring in enumerate((piece.exterior, *piece.interiors)):
            polygon = Geodesic.WGS84.Polygon()
            for lon, lat in list(ring.coords)[:-1]:
                polygon.AddPoint(lat, lon)
            total += abs(polygon.Compute()[2]) * (1 if number == 0 else -1)
    return total
