"""Columns of widths and work states, taken out of the layers of positions of a source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from taskdata.dataclass import dataclass
from taskdata.exchange.swath_values import measured, working
from taskdata.fieldwork.swaths.log_widths import WidthsOfLog
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, item_paths
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.position_logs import PositionLog
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.column_units import DEFAULTS, named
from taskdata.formats.foreign.roles.judgement import Judgement, Shape
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.raised_rules.import_.columns_taken import RULE as COLUMNS_TAKEN
from taskdata.results.survey import ColumnRole, ItemKind

_WIDEST = column_values.RANGED[ColumnRole.WIDTH][1]
Judged = Mapping[str, Mapping[Shape, Judgement]]


@dataclass(frozen=True)
class TakenWidths:
    """Widths of logs, and the layers and judgements without the columns that they were taken from."""

    logs: tuple[WidthsOfLog, ...]
    rest: PlacedLayers
    judged: Judged
    findings: tuple[Finding, ...]


def take_widths(source: PlacedLayers, options: TakeOptions, judged: Judged) -> TakenWidths:
    """Take columns of widths out of the layers that were judged to be logs, and with them columns of work states."""
    logs: list[WidthsOfLog] = []
    findings: list[Finding] = []
    tables, judgements = dict(source.tables), dict(judged)
    paths = item_paths(source.tables)
    for name, raw in source.tables.items():
        found = next((part for part in judged.get(name, {}).values() if part.kind is ItemKind.LOG), None)
        if found is None or ColumnRole.WIDTH not in found.columns:
            continue
        said = options.said_of(paths[name], raw.table.column_names)
        widths = measured(raw.table, found, said, ColumnRole.WIDTH)
        if widths is None:
            continue
        widths = np.where((widths >= 0.0) & (widths <= _WIDEST), widths, np.nan)
        if not (widths > 0.0).any():
            continue
        states = found.columns.get(ColumnRole.STATE, ())
        logs.append(WidthsOfLog(raw.name, widths, working(raw.table, found) if len(states) == 1 else None))
        used = {ColumnRole.WIDTH: found.columns[ColumnRole.WIDTH][0]}
        used |= {ColumnRole.STATE: states[0]} if len(states) == 1 else {}
        findings.append(_told(raw, used, said.units.get(ColumnRole.WIDTH)))
        tables[name] = replace(raw, table=raw.table.drop_columns(list(used.values())))
        judgements[name] = {shape: _without(part, tables[name]) for shape, part in judged[name].items()}
    return TakenWidths(tuple(logs), replace(source, tables=tables), judgements, tuple(findings))


def _without(judgement: Judgement, raw: RawTable) -> Judgement:
    log = judgement.log
    return replace(judgement, log=replace(log, raw=raw)) if isinstance(log, PositionLog) else judgement


def _told(raw: RawTable, used: Mapping[ColumnRole, str], unit: str | None) -> Finding:
    width = used[ColumnRole.WIDTH]
    unit = unit or named(width, ColumnRole.WIDTH).unit or DEFAULTS[ColumnRole.WIDTH]
    texts = [f"width from {width} (in {unit})"]
    texts += [f"work state from {used[ColumnRole.STATE]}"] if ColumnRole.STATE in used else []
    return COLUMNS_TAKEN.at(Place(file=raw.file), layer=raw.label, columns=", ".join(texts))
