"""One set as rows of a catalogue, with what its things are recognised by: made in whatever process, left in a file."""

from __future__ import annotations

import json
import time
import warnings
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import shapely

from taskdata import api, strict_json
from taskdata.archives.things import SetThings
from taskdata.archives.years import UNKNOWN, year_of_log, year_of_set, year_of_task
from taskdata.batches.digest import digest_of_source
from taskdata.batches.running import failed_row, with_files
from taskdata.batches.unit import Unit
from taskdata.errors import SourceError, TaskdataError
from taskdata.exchange.sides import side_of
from taskdata.findings import Finding
from taskdata.formats.columns import GEOMETRY, KEY, Row
from taskdata.formats.geometries.boxes import box_shape
from taskdata.formats.layers import fields, guidance
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.logs import Log
from taskdata.model.machines import Machine
from taskdata.model.tasks import Task
from taskdata.model.whereabouts import bounds, bounds_of_log
from taskdata.results.batch import BatchedSource

YEAR, OF, FIELD, TASK = "year", "of", "field_key", "task_key"
"""Columns of a row in the file besides those of its layer: the year, kind and key of the thing that it is of, and the
keys of the field and the task that it names."""


def digest(unit: Unit) -> BatchedSource:
    """Return the digest of a source in a row; without one where its files cannot be read."""
    return BatchedSource(unit.source, digest_of_source(unit.place), 0, None, None, 0.0)


def project(unit: Unit) -> BatchedSource:
    """Write rows and things of a source into a file, and say in a row where it is, or why there is none."""
    began = time.monotonic()
    before = None
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", RuntimeWarning)  # of GDAL; what is wrong comes as error or finding
            before = digest_of_source(unit.place)
            with with_files(unit.call.options) as options:
                data = api.read(unit.place, partial=True, **options)
            document = _document(data)
            if before is None or digest_of_source(unit.place) != before:
                raise SourceError("was changed while it was read", where=unit.source, remedy="Repeat the call")
        path = Path(unit.call.out) / f"{unit.name}.json"
        text = strict_json.dumps(document).replace(unit.place, unit.source)
        path.write_text(text, encoding="utf-8", errors="backslashreplace")
    except Exception as error:
        if isinstance(error, TaskdataError):
            error.reword(lambda words: words.replace(unit.place, unit.source))
        return failed_row(unit.source, error, before, time.monotonic() - began)
    counts = {layer: len(rows) for layer, rows in document["rows"].items()}
    seconds = round(time.monotonic() - began, 3)
    code = int(bool(data.unread))
    return BatchedSource(unit.source, before, code, None, path.name, seconds, bounds=bounds(data), counts=counts)


def read_projected(path: Path) -> dict[str, Any]:
    """Return what ``project`` wrote: ``things``, ``rows`` by layer, and what is said of the ``set``."""
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


def _document(read: Dataset) -> dict[str, Any]:
    side, _ = side_of(read)
    data = side.dataset
    known = SetThings(side)
    things = list(known.all())
    year = year_of_set(data.tasks, side.document)
    rows: dict[str, list[Row]] = {
        "fields": [_with(row, "fields", year) for row in fields.project(data).rows()],
        "guidance": [_with({**row, FIELD: field.key}, "guidance", year) for field, row in _lines(data)],
        "machines": [_machine(item, year) for item in data.machines],
        "tasks": [_task(data, item, year) for item in data.tasks],
        "logs": [_log(data, item, log, year) for item in data.tasks for log in item.logs],
    }
    names = {tuple(row[OF]): row["name"] for found in rows.values() for row in found}
    rows["findings"] = [_finding(item, known.owners, names, year) for item in api.check(read).findings]
    return {"things": things, "rows": rows, "set": _set(read, year)}


def _with(row: Row, kind: str, year: int | None) -> Row:
    """Return a row of a layer of a set, its geometry as text."""
    own = {**row, YEAR: year, OF: [kind, row[KEY]]}
    own[GEOMETRY] = None if row[GEOMETRY] is None else row[GEOMETRY].hex()
    return own


def _lines(data: Dataset) -> Iterator[tuple[Field, Row]]:
    """Yield the row of each guidance line, those that a field keeps as plain lines too."""
    for field in data.fields:
        yield from ((field, guidance.row_of(field, group, line)) for group in field.groups for line in group.lines)
        yield from ((field, guidance.row_of(field, None, line)) for line in field.line_guidance)


def _machine(machine: Machine, year: int | None) -> Row:
    plain = "id name client_name serial software structure_label localization_label working_width_m"
    own = {name: getattr(machine, name) for name in plain.split()}
    return {**own, "sections": len(machine.sections), YEAR: year, OF: ["machines", machine.key]}


def _task(data: Dataset, task: Task, year: int | None) -> Row:
    names = {item.id: item.name for item in data.fields}
    names |= {item.id: item.name for item in data.customers} | {item.id: item.name for item in data.farms}
    keys = {item.id: item.key for item in data.machines}
    start, end = _span(task)
    return {
        "id": task.id,
        "name": task.name,
        "status": None if task.status is None else task.status.name.lower(),
        "field": task.field,
        "field_name": names.get(task.field or ""),
        "customer_name": names.get(task.customer or ""),
        "farm_name": names.get(task.farm or ""),
        "start": start,
        "end": end,
        "machines": sorted({key for name in task.machines if (key := keys.get(name)) is not None}),
        YEAR: year_of_task(task) or year,
        OF: ["tasks", task.key],
        FIELD: _field_key(data, task),
    }


def _span(task: Task) -> tuple[str | None, str | None]:
    """Return the first and last time of a task as they are written there, without such those of its logs."""
    texts = [text for item in task.times for text in (item.start, item.stop) if text]
    stated = [moment for text in texts if (moment := _moment(text)) is not None]
    if not stated:
        extents = [log.extent for log in task.logs if log.extent is not None]
        known = [moment for item in extents for moment in (item.start, item.end) if moment is not None]
        stated = [moment.astype("datetime64[ms]").item() for moment in known]
    return (min(stated).isoformat(), max(stated).isoformat()) if stated else (None, None)


def _moment(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text.strip()).replace(tzinfo=None)
    except ValueError:
        return None


def _field_key(data: Dataset, task: Task) -> int | None:
    return next((field.key for field in data.fields if field.id == task.field), None)


def _log(data: Dataset, task: Task, log: Log, year: int | None) -> Row:
    extent, box = log.extent, bounds_of_log(log)
    moments = (None, None) if extent is None else (extent.start, extent.end)
    start, end = (None if item is None else item.astype("datetime64[ms]").item().isoformat() for item in moments)
    return {
        "id": log.file,
        "name": task.name,
        "task": task.id,
        "records": log.length,
        "start": start,
        "end": end,
        GEOMETRY: None if box is None else shapely.to_wkb(box_shape(*box), hex=True),
        YEAR: year_of_log(log) or year_of_task(task) or year,
        OF: ["logs", log.key],
        FIELD: _field_key(data, task),
        TASK: task.key,
    }


def _finding(
    item: Finding, owners: dict[str, tuple[str, int]], names: dict[tuple[str, int], str | None], year: int | None
) -> Row:
    place, owner = item.place, owners.get(item.place.element or "")
    rest = item.rule.message.startswith("More findings of this kind") and not place.path
    return {
        "id": place.element,
        "name": None if owner is None else names.get(owner),
        "rule": item.rule.id,
        "severity": str(item.severity),
        "count": item.facts.get("count") if rest else 1,
        "message": item.message,
        "thing": None if owner is None else owner[0],
        "file": place.file,
        "line": place.line,
        "path": place.path,
        "clause": item.rule.clause,
        GEOMETRY: None if place.location is None else shapely.to_wkb(shapely.Point(place.location), hex=True),
        YEAR: year,
        OF: None if owner is None else [*owner],
    }


def _set(data: Dataset, year: int | None) -> Row:
    box = bounds(data)
    return {
        "format": data.format,
        "version": None if data.version is None else ".".join(map(str, data.version)),
        "origin": data.origin,
        GEOMETRY: None if box is None else shapely.to_wkb(box_shape(*box), hex=True),
        YEAR: year,
    }


def partition(row: Row) -> str:
    """Return the name of the year of a row, or that it is unknown."""
    return UNKNOWN if row.get(YEAR) is None else f"{row[YEAR]:04}"
