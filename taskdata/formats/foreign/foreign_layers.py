"""Layers that were not written by this package, or lost what they carried, as a data set.

Each layer is judged, shape by shape (`roles`): fields, areas in fields, guidance lines, plain lines, points and logs
have a builder each; swaths and rate maps are read elsewhere, and left aside here. Areas, lines and points go to the
field that they lie in or, up to 1 km, are nearest to; what is farther from every field goes into a field of its own,
named after its layer, without a boundary. A word of ours in a column of kinds says what a row is instead.

Layers of this package without the side tables are read by their documented columns.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import field, replace

from taskdata.dataclass import dataclass
from taskdata.errors import UnfitError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.columns import GEOMETRY, KEY
from taskdata.formats.edits.merge_edits import merge
from taskdata.formats.foreign.areas import put_areas
from taskdata.formats.foreign.features import Feature, Part
from taskdata.formats.foreign.fields import closed, with_fields
from taskdata.formats.foreign.guidance import is_direction, put_guidance
from taskdata.formats.foreign.homes import Homes
from taskdata.formats.foreign.lines import put_lines
from taskdata.formats.foreign.log_tasks import with_logs
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.owners import Owners
from taskdata.formats.foreign.points import put_points
from taskdata.formats.foreign.position_logs import (
    PositionLog,
    findings_of_logs,
    findings_of_points,
    log_without_times,
    logs_of_records,
)
from taskdata.formats.foreign.roles.judgement import Judgement, Shape, shape_of
from taskdata.formats.foreign.roles.judging import judge_shapes
from taskdata.formats.foreign.roles.kind_columns import meant
from taskdata.formats.foreign.said_columns import check_columns
from taskdata.formats.foreign.telling import set_aside, told_of, told_of_names
from taskdata.formats.geometries.crossings import crossings, own_crossings
from taskdata.formats.geometries.usable import Usable
from taskdata.formats.layers.of_dataset import is_own
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.ledger import LossKind
from taskdata.model.dataset import Dataset
from taskdata.raised_rules.import_.layer_left_out import RULE as LAYER_LEFT_OUT
from taskdata.raised_rules.import_.unreadable_layer import RULE as UNREADABLE_LAYER
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT
from taskdata.results.survey import ItemKind

_NOT_ALONE = ("grid_cells",)
_RECORDS = ("log_records", "log_values")
"""Layers of the records of logs; of several the first is read."""

_ASIDE = frozenset({ItemKind.SWATH, ItemKind.RATEMAP, ItemKind.LOG, ItemKind.OTHER})


@dataclass
class Collected:
    """The rows of the layers by what they are."""

    rows: dict[ItemKind, list[Feature]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def of(self, kind: ItemKind) -> list[Feature]:
        """Return the rows of a kind."""
        return self.rows.get(kind, [])


def judged_layers(source: PlacedLayers, options: TakeOptions) -> dict[str, dict[Shape, Judgement]]:
    """Return what the layers of other programs are, by their names.

    Raises
    ------
    UsageError
        No layer has a column that a person names; or a layer cannot be what a person says that it is.
    """
    foreign = {name: raw for name, raw in source.tables.items() if not is_own(raw)}
    check_columns(foreign, options, source.path)
    return judge_shapes(foreign, options)


def plain(
    source: PlacedLayers,
    options: TakeOptions | None = None,
    judged: Mapping[str, Mapping[Shape, Judgement]] | None = None,
) -> Dataset:
    """Return the data set that layers make on their own.

    Parameters
    ----------
    options : TakeOptions, optional
        What a person says of them; without it each is what it most likely is.
    judged : mapping, optional
        What the layers are, where that is known already; see `judged_layers`.

    Raises
    ------
    UsageError
        No layer has a column that a person names; or a layer cannot be what a person says that it is.
    """
    options = options or TakeOptions()
    own = {name: raw for name, raw in source.tables.items() if is_own(raw)}
    foreign = {name: raw for name, raw in source.tables.items() if name not in own}
    judged = judged_layers(source, options) if judged is None else judged
    logs = dict(_logs(foreign, {name: judged[name] for name in foreign}))
    kept = next((name for name in _RECORDS if any(raw.name == name for raw in own.values())), None)
    base = _own(source, {name: raw for name, raw in own.items() if raw.name not in _RECORDS})
    collected = Collected(findings=list(source.findings))
    records = [log for raw in own.values() if raw.name == kept for log in _records(raw, collected)]
    for raw in own.values():
        if raw.name not in (*_NOT_ALONE, *_RECORDS):
            collected.findings.extend(own_crossings(raw))
        elif raw.name in _RECORDS and raw.name != kept:
            reason = f"{kept} holds the same records"
            collected.findings.append(LAYER_LEFT_OUT.at(Place(file=raw.file), layer=raw.name, reason=reason))
    rest = {name: raw for name, raw in foreign.items() if name not in logs}
    paths = item_paths(foreign)
    for name, raw in rest.items():
        units = options.said_of(paths[name]).units
        _collect({shape: Part(raw, judgement, units) for shape, judgement in judged[name].items()}, collected)
    made = _built(base, collected)
    every = [*records, *logs.values()]
    tasks = with_logs(made.tasks, every, made.fields)
    findings = (*base.findings, *collected.findings, *findings_of_logs(every), *findings_of_points(rest.values()))
    return made.with_changes(tasks=tasks, noted=findings)


def _records(raw: RawTable, collected: Collected) -> list[PositionLog]:
    try:
        return logs_of_records(raw)
    except UnfitError as error:
        collected.findings.append(UNREADABLE_LAYER.at(Place(file=raw.file), layer=raw.name, reason=str(error)))
        return []


def _built(base: Dataset, collected: Collected) -> Dataset:
    """Return a data set with the rows of layers."""
    owners = Owners(base)
    homes = Homes(with_fields(base.fields, collected.of(ItemKind.FIELD), owners))
    put_areas(collected.of(ItemKind.AREA), homes)
    steering = put_guidance(collected.of(ItemKind.GUIDANCE), homes)
    unknown = put_lines(collected.of(ItemKind.LINE), homes)
    put_points(collected.of(ItemKind.POINT), homes)
    names = told_of_names(collected.of(ItemKind.FIELD))
    collected.findings += (*names, *owners.findings(), *steering, *unknown, *homes.findings())
    return owners.with_all(base.with_changes(fields=tuple(homes.fields)))


def _logs(
    tables: Mapping[str, RawTable], judged: Mapping[str, Mapping[Shape, Judgement]]
) -> Iterator[tuple[str, PositionLog]]:
    """Yield the layers that are logs."""
    for name, parts in judged.items():
        for part in parts.values():
            if part.kind is ItemKind.LOG:
                log = part.log if isinstance(part.log, PositionLog) else log_without_times(tables[name])
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


def _collect(parts: Mapping[Shape, Part], collected: Collected) -> None:
    """Put the rows of a layer where they belong, and tell how the layer was read."""
    raw = next(iter(parts.values())).raw
    if GEOMETRY not in raw.table.column_names:
        reason = "it has no geometry"
        collected.findings.append(LAYER_LEFT_OUT.at(Place(file=raw.file), layer=raw.name, reason=reason))
        return
    told = {finding.place.record for finding in collected.findings if finding.facts.get("layer") == raw.label}
    usable = Usable(raw, told)
    collected.findings.extend((*usable.findings, *crossings(raw, usable.sound)))
    left: dict[Shape, Part] = {}
    read: dict[Shape, Part] = {}
    for row, geometry in usable.rows:
        shape = shape_of(geometry)
        feature = Feature(parts.get(shape) or next(iter(parts.values())), row, geometry)
        kind = _kind(feature, shape)
        if kind in _ASIDE:
            left[shape] = feature.part
        else:
            read[shape] = feature.part
            collected.rows.setdefault(kind, []).append(feature)
    collected.findings += [set_aside(part) for part in left.values()]
    collected.findings += told_of(list(read.values()) or list(parts.values())[:1]) if not left else ()


def _kind(feature: Feature, shape: Shape) -> ItemKind:
    """Return what a row is: as its word says, else as its layer was judged, where its geometry allows that."""
    kind = feature.part.judgement.kind
    said = meant(feature.part.kinds[feature.row], shape)
    if said is not None and kind not in _ASIDE:
        kind = said
    if kind is ItemKind.FIELD and shape is Shape.LINE and not closed(feature.geometry):
        return ItemKind.LINE
    if kind is ItemKind.GUIDANCE and shape is Shape.POINT and not is_direction(feature):
        return ItemKind.POINT
    return kind
