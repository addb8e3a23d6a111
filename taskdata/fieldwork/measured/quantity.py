"""A measured quantity: its records cleaned, their mean, and the total of the map that they make."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from taskdata.errors import UsageError
from taskdata.fieldwork.applied.channels import Channel
from taskdata.fieldwork.implement import Measuring
from taskdata.fieldwork.measured.channels import BY_TIME, COUNTERS, measured_channels
from taskdata.fieldwork.measured.moisture import at_moisture, check_moisture
from taskdata.fieldwork.measured.records import Flags, MeasuredRecords, measured_records
from taskdata.fieldwork.measured.rules import KEPT, limit, sift
from taskdata.fieldwork.sweeps.ground_cover import SweptGround
from taskdata.geometry.arrays import Floats
from taskdata.geometry.cells import CellGrid, cell_sums, outline_quads
from taskdata.geometry.plane import LocalPlane
from taskdata.geometry.stretches import gathered, on_map
from taskdata.geometry.sweeps import Quads
from taskdata.results.measured import MeasuredGround, MeasuredQuantity

MOST_CELLS = 25_000_000


def measured_quantity(ground: SweptGround, wanted: Measuring) -> MeasuredQuantity | None:
    """Return a quantity that logs measured, None where they hold none of it or were never at work with it.

    Raises
    ------
    UsageError
        Several quantities fit, or values cannot be brought to the standard moisture.
    """
    channels = measured_channels(ground.works, wanted.quantity)
    if not channels:
        return None
    records = measured_records(ground.works, channels, wanted.delay_s, limit("turn-over"))
    if records is None:
        return None
    standard = wanted.standard_moisture
    if standard is not None:
        check_moisture(channels[0].ddi, standard, records.moisture)
    rule, left_out = sift(records, channels[0].ddi, needs_moisture=standard is not None)
    kept = rule == KEPT
    value = records.value if standard is None else at_moisture(records.value, records.moisture, standard)
    found = _figures(records, channels, kept, value, wanted)
    total, as_logged = (_total(ground, records, kept, each, found) for each in (value, records.value))
    return replace(
        found,
        left_out=left_out,
        draw=lambda: _drawn(records, value, rule, ground.plane),
        total=total,
        total_as_logged=as_logged,
        logged_total=_counted(ground, found.shown_ddi, found.parts),
    )


def _figures(
    records: MeasuredRecords, channels: Sequence[Channel], kept: Flags, value: Floats, wanted: Measuring
) -> MeasuredQuantity:
    ddi = channels[0].ddi
    ground, good = records.ground_m2[kept], value[kept]
    area = float(ground.sum())
    pieces = kept[records.owner]
    moisture = records.moisture[kept]
    known = np.isfinite(moisture)
    wet = float((ground * moisture)[known].sum() / ground[known].sum()) if ground[known].sum() > 0.0 else None
    mean = float((ground * good).sum()) / area if area > 0.0 else None
    return MeasuredQuantity(
        ddi,
        tuple(channel.part for channel in channels if channel.part is not None),
        BY_TIME.get(ddi, ddi),
        len(kept),
        (),
        int(kept.sum()),
        area,
        mean,
        float(good.min()) if mean is not None else None,
        float(good.max()) if mean is not None else None,
        None,
        None,
        wet,
        wanted.standard_moisture,
        None,
        wanted.delay_s,
        wanted.cell_m,
        records.quads[pieces],
        value[records.owner[pieces]],
        _middles(records)[kept],
    )


def _drawn(records: MeasuredRecords, value: Floats, rule: NDArray[np.intp], plane: LocalPlane) -> MeasuredGround:
    shapes = gathered(records.quads, records.owner, len(records.record))
    return MeasuredGround(
        records.log,
        records.record,
        records.stamp,
        value,
        records.moisture,
        rule,
        records.ground_m2,
        on_map(shapes, plane),
    )


def _middles(records: MeasuredRecords) -> Floats:
    """Return the middle of the ground of each record, (n, 2); NaN where it swept none."""
    centre = records.quads.mean(axis=1)
    count = len(records.record)
    sums = (np.bincount(records.owner, records.area * centre[:, axis], minlength=count) for axis in (0, 1))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.column_stack(list(sums)) / records.ground_m2[:, np.newaxis]


def _total(
    ground: SweptGround, records: MeasuredRecords, kept: Flags, value: Floats, found: MeasuredQuantity
) -> float | None:
    """Return the product on all worked ground by the means of the cells."""
    if found.shown_ddi not in COUNTERS or found.mean is None:
        return None
    pieces = kept[records.owner]
    owner = records.owner[pieces]
    mean = float((records.area[pieces] * value[owner]).sum() / records.area[pieces].sum())
    worked = outline_quads(ground.worked)
    grid = CellGrid.over(np.concatenate([records.quads, worked]), found.cell_m)
    if grid.columns * grid.rows > MOST_CELLS:
        what = f"{grid.columns:,} x {grid.rows:,} cells are too many to average over"
        raise UsageError(what, remedy="Give a larger [[cell_m]]")
    measured = _table(records.quads[pieces], np.stack([np.ones(len(owner)), value[owner]]), grid)
    ground_m2 = _table(worked, np.ones((1, len(worked))), grid)[0]
    means = np.divide(measured[1], measured[0], out=np.full(ground_m2.shape, mean), where=measured[0] > 1e-9)
    return float((means * np.maximum(ground_m2, 0.0)).sum())


def _table(quads: Quads, weights: Floats, grid: CellGrid) -> Floats:
    whole = np.zeros((len(weights), grid.rows, grid.columns))
    for tile in cell_sums(quads, weights, grid):
        rows, columns = tile.sums.shape[1:]
        whole[:, tile.row : tile.row + rows, tile.column : tile.column + columns] = tile.sums
    return whole


def _counted(ground: SweptGround, shown_ddi: int, parts: Sequence[str | None]) -> float | None:
    """Return by how much the counters of a yield grew over the logs, in units of product by ``shown_ddi``.

    Those of the parts that measured count, else the first that a log holds.
    """
    if shown_ddi not in COUNTERS:
        return None
    ddi, size = COUNTERS[shown_ddi]
    grown = []
    for source in {id(work.source): work.source for work in ground.works}.values():
        keys = source.values.parts([ddi])
        for key in [key for key in keys if key[1] in parts] or keys[:1]:
            held = source.values.held(*key)
            if held is not None:
                known = held.value[held.known]
                grown.append(float(known[-1] - known[0]) * size)
    return sum(grown) if grown else None
