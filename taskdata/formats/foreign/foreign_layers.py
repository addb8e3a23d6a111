"""Layers that were not written by this package, or lost what they carried, as a data set.

Polygons become fields; their pieces the boundary. Lines become guidance lines: of two points an AB line, of more a
curve. Points become points. A word of ours in a column ``kind`` or ``type`` says what a line or point is instead, such
as a fence. A line or point goes to the field that it lies in or, up to 1 km, is nearest to; what is farther from every
field goes into a field of its own, named after its layer, without a boundary. The guidance lines of a layer in a field
make a group, named after the layer. Points with times that go on from row to row become a task with a log.

Layers of this package without the side tables are read by their documented columns.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from taskdata.errors import UsageError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY, KEY
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.foreign.kind_words import kind_column, line_kind, point_kind
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.position_logs import (
    PositionLog,
    findings_of_logs,
    findings_of_points,
    logs_of_records,
    position_log,
    with_logs,
)
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.judgement import Judgement, Shape, shape_of
from taskdata.formats.foreign.roles.judging import judge_shapes
from taskdata.formats.foreign.roles.names import joined
from taskdata.formats.geometries import shapes
from taskdata.formats.geometries.crossings import crossings, own_crossings
from taskdata.formats.geometries.usable import Usable
from taskdata.formats.layers.of_dataset import is_own
from taskdata.formats.layers.several import rearranged
from taskdata.formats.layers.wording import id_prefix
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.geometry.nearest import NEAR_M, Sites
from taskdata.ledger import LossKind
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field, GuidanceGroup, GuidanceKind, GuidanceLine
from taskdata.model.lookup import nearest
from taskdata.model.shapes import AreaKind, Coordinates, Line, Point
from taskdata.raised_rules.import_.columns_left_out import RULE as COLUMNS_LEFT_OUT
from taskdata.raised_rules.import_.far_from_fields import RULE as FAR_FROM_FIELDS
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT
from taskdata.results.survey import ColumnRole, ItemKind

_NOT_ALONE = ("grid_cells",)
_RECORDS = ("log_records", "log_values")
"""Layers of the records of logs; of several the first is read."""


@dataclass(frozen=True)
class Feature:
    """A row of a layer: its name, its geometry, which is not empty and lies on Earth, and a word for what it is."""

    name: str | None
    geometry: Any
    table: str
    kind: str | None = None


@dataclass
class Collected:
    """What the layers hold, by kind of geometry."""

    polygons: list[Feature] = field(default_factory=list)
    lines: list[Feature] = field(default_factory=list)
    points: list[Feature] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def judged_layers(source: PlacedLayers, options: TakeOptions) -> dict[str, dict[Shape, Judgement]]:
    """Return what the layers of other programs are, by their names."""
    return judge_shapes({name: raw for name, raw in source.tables.items() if not is_own(raw)}, options)


def plain(
    source: PlacedLayers,
    options: TakeOptions | None = None,
    judged: Mapping[str, Mapping[Shape, Judgement]] | None = None,
) -> Dataset:
    """Return the data set that layers make on their own.

    Parameters
    ----------
    options : TakeOptions, optional
        What a person says: the column with the names; without it the likeliest text column of each layer.
    judged : mapping, optional
        What the layers are, where that is known already; see `judged_layers`.

    Raises
    ------
    UsageError
        No layer has a column of that name.
    """
    name_column = None if options is None else options.name_column
    own = {name: raw for name, raw in source.tables.items() if is_own(raw)}
    foreign = {name: raw for name, raw in source.tables.items() if name not in own}
    judged = judged_layers(source, options or TakeOptions()) if judged is None else judged
    logs = dict(_logs(foreign, {name: judged[name] for name in foreign}))
    kept = next((name for name in _RECORDS if any(raw.name == name for raw in own.values())), None)
    records = [log for raw in own.values() if raw.name == kept for log in logs_of_records(raw)]
    if name_column is not None and foreign and not any(_column(raw, name_column) for raw in foreign.values()):
        columns = sorted({name for raw in foreign.values() for name in raw.table.column_names if name != GEOMETRY})
        raise UsageError(
            f"No layer has a column {name_column}",
            where=source.path,
            remedy=nearest(name_column, columns),
        )
    base = _own(source, {name: raw for name, raw in own.items() if raw.name not in _RECORDS})
    collected = Collected(findings=list(source.findings))
    for raw in own.values():
        if raw.name not in (*_NOT_ALONE, *_RECORDS):
            collected.findings.extend(own_crossings(raw))
        elif raw.name in _RECORDS and raw.name != kept:
            reason = f"{kept} holds the same records"
            collected.findings.append(LAYER_LEFT_OUT.at(Place(file=raw.file), layer=raw.name, reason=reason))
    rest = {name: raw for name, raw in foreign.items() if name not in logs}
    for name, raw in rest.items():
        _collect(raw, judged[name], collected)
    fields = list(base.fields)
    for number, feature in enumerate(collected.polygons, 1):
        fields.append(_field(_identifier("PFD", number + len(base.fields)), feature, number))
    fields = _with_lines_and_points(fields, collected)
    every = [*records, *logs.values()]
    tasks = with_logs(base.tasks, every, fields)
    findings = (*base.findings, *collected.findings, *findings_of_logs(every), *findings_of_points(rest.values()))
    return base.with_changes(fields=tuple(fields), tasks=tasks, noted=findings)


def _logs(
    tables: Mapping[str, RawTable], judged: Mapping[str, Mapping[Shape, Judgement]]
) -> Iterator[tuple[str, PositionLog]]:
    """Yield the layers that are logs."""
    for name, parts in judged.items():
        if any(part.kind is ItemKind.LOG for part in parts.values()):
            log = position_log(tables[name])
            if log is not None:
                yield name, log


def _own(source: PlacedLayers, own: dict[str, RawTable]) -> Dataset:
    """Return the data set that layers of this package make without what they carried."""
    empty = Dataset(source=source.path, format=source.format)
    findings = [
        LAYER_LEFT_OUT.at(Place(file=raw.file), layer=name, reason="it is of no use without the carried tables")
        for name, raw in own.items()
        if name in _NOT_ALONE
    ]
    readable = {name: _unlinked(raw) for name, raw in own.items() if name not in _NOT_ALONE}
    if not readable:
        return empty.with_changes(noted=tuple(findings))
    dataset, losses = merge(empty, replace(source, tables=readable, findings=[]))
    dropped = [loss for loss in losses if loss.kind is LossKind.DROPPED]
    findings += [
        VALUE_LEFT_OUT.at(Place(), what=loss.what[:1].upper() + loss.what[1:], reason=loss.why) for loss in dropped
    ]
    changed = tuple(loss for loss in losses if loss.kind is not LossKind.DROPPED)
    return dataset.with_changes(noted=(*dataset.noted, *findings), losses=changed)


def _unlinked(raw: RawTable) -> RawTable:
    """Return a table without keys, which refer to a document that is not there."""
    return replace(raw, table=raw.table.drop_columns([KEY]))


def _collect(raw: RawTable, judged: Mapping[Shape, Judgement], collected: Collected) -> None:
    place = Place(file=raw.file)
    if GEOMETRY not in raw.table.column_names:
        collected.findings.append(LAYER_LEFT_OUT.at(place, layer=raw.name, reason="it has no geometry"))
        return
    told = {finding.place.record for finding in collected.findings if finding.facts.get("layer") == raw.label}
    usable = Usable(raw, told)
    collected.findings.extend((*usable.findings, *crossings(raw, usable.sound)))
    found = usable.rows
    columns = {shape: part.columns.get(ColumnRole.NAME, ()) for shape, part in judged.items()}
    names = {shape: joined(raw.table, named_by) for shape, named_by in columns.items()}
    said = kind_column(raw.table)
    kinds = column_values.texts(raw.table[said]) if said is not None else [None] * raw.table.num_rows
    for row, geometry in found:
        shape = shape_of(geometry)
        feature = Feature(names[shape][row], geometry, raw.name, kinds[row])
        if shape is Shape.POLYGON:
            collected.polygons.append(feature)
        elif shape is Shape.LINE:
            collected.lines.append(feature)
        else:
            collected.points.append(feature)
    _tell_columns(raw, {name for named_by in columns.values() for name in named_by}, {said}, collected)


def _tell_columns(raw: RawTable, names: set[str], read: set[str | None], collected: Collected) -> None:
    """Tell which columns hold the names, and which are left out."""
    left = [name for name in raw.table.column_names if name not in {GEOMETRY, *names, *read}]
    if left:
        held = " and ".join(name for name in raw.table.column_names if name in names)
        source = f"Names in {raw.label} were read from {held}" if held else f"No column of {raw.label} holds names"
        place = Place(file=raw.file)
        collected.findings.append(COLUMNS_LEFT_OUT.at(place, layer=raw.label, names=source, columns=", ".join(left)))


def _field(identifier: str, feature: Feature, number: int) -> Field:
    name = feature.name or f"{feature.table} {number}"
    return Field(id=identifier, name=name, boundaries=rearranged((), feature.geometry, AreaKind.BOUNDARY))


def _with_lines_and_points(fields: list[Field], collected: Collected) -> list[Field]:
    sites, apart = Sites(item.boundaries for item in fields), Counter[str]()
    points: dict[int, list[Point]] = {}
    homes: dict[str, int] = {}
    result = list(fields)

    def home(feature: Feature) -> int:
        near = sites.nearest(feature.geometry)
        if near is not None:
            return near.index
        apart.update([feature.table])
        if feature.table not in homes:
            homes[feature.table] = len(result)
            result.append(Field(id=_identifier("PFD", len(result) + 1), name=feature.table))
        return homes[feature.table]

    groups, drawn = _lines(collected.lines, home)
    for feature in collected.points:
        points.setdefault(home(feature), []).append(_point(feature))
    for count, ((owner, table), lines) in enumerate(groups.items(), 1):
        group = GuidanceGroup(tuple(lines), name=table, id=_identifier("GGP", count))
        result[owner] = replace(result[owner], groups=(*result[owner].groups, group))
    for owner, plain_lines in drawn.items():
        result[owner] = replace(result[owner], lines=(*result[owner].lines, *plain_lines))
    for owner, found in points.items():
        result[owner] = replace(result[owner], points=(*result[owner].points, *found))
    if fields:
        collected.findings += [
            FAR_FROM_FIELDS.at(Place(), count=str(count), layer=table, limit=f"{NEAR_M:.0f} m")
            for table, count in apart.items()
        ]
    return result


def _lines(
    features: Sequence[Feature], home: Callable[[Feature], int]
) -> tuple[dict[tuple[int, str], list[GuidanceLine]], dict[int, list[Line]]]:
    """Return guidance lines by the number of their field and their layer, and other lines by the number of theirs."""
    groups: dict[tuple[int, str], list[GuidanceLine]] = {}
    others: dict[int, list[Line]] = {}
    number = 0
    for feature in features:
        owner, kind = home(feature), line_kind(feature.kind)
        for line in shapes.lines(feature.geometry):
            if kind is not None:
                others.setdefault(owner, []).append(Line(kind, line, name=feature.name))
                continue
            number += 1
            groups.setdefault((owner, feature.table), []).append(_line(_identifier("GPN", number), feature, line))
    return groups, others


def _point(feature: Feature) -> Point:
    place = feature.geometry
    up = float(place.z) if place.has_z and math.isfinite(place.z) else None
    return Point(point_kind(feature.kind), float(place.x), float(place.y), name=feature.name, up_m=up)


def _line(identifier: str, feature: Feature, points: Coordinates) -> GuidanceLine:
    kind = GuidanceKind.AB if len(points) == 2 else GuidanceKind.CURVE
    return GuidanceLine(kind, points, name=feature.name, id=identifier)


def _identifier(tag: str, number: int) -> str:
    return f"{id_prefix(tag)}{number}"


def _column(raw: RawTable, wanted: str | None) -> str | None:
    """Return the column of that name: as it is written, else the only one in any case; None where there is none."""
    names = raw.table.column_names
    if wanted is None or wanted in names:
        return wanted
    found = [name for name in names if name.casefold() == wanted.strip().casefold()]
    return found[0] if len(found) == 1 else None
