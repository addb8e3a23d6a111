"""What is known of a layer beside its rows: what it is, its system, and where it lies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.roles.judgement import Judgement
from taskdata.formats.foreign.roles.judging import judge
from taskdata.formats.layers.of_dataset import is_own
from taskdata.formats.placing.positions import positions_of
from taskdata.geometry.arrays import Points
from taskdata.geometry.system_names import short_name
from taskdata.model.whereabouts import bounds_of
from taskdata.results.survey import ItemKind

_RUN = 100
_OWN = {
    "fields": ItemKind.FIELD,
    "areas": ItemKind.AREA,
    "lines": ItemKind.LINE,
    "guidance_lines": ItemKind.GUIDANCE,
    "points": ItemKind.POINT,
    "treatment_zones": ItemKind.RATEMAP,
    "grid_cells": ItemKind.RATEMAP,
    "log_records": ItemKind.LOG,
    "log_values": ItemKind.LOG,
    "swaths": ItemKind.SWATH,
}
"""What the layers of this package hold."""


def judged_layers(tables: Mapping[str, RawTable], options: TakeOptions) -> dict[str, Judgement]:
    """Return what layers are; those of this package say it by their name."""
    own = {name: raw for name, raw in tables.items() if is_own(raw)}
    found = judge({name: raw for name, raw in tables.items() if name not in own}, options)
    return found | {
        name: Judgement(_OWN[raw.name], 1.0, f"it is a layer {raw.name} of this program") for name, raw in own.items()
    }


def stated_system(raw: RawTable) -> str | None:
    """Return what to call the system that a layer states, None where it states none."""
    if raw.crs is None:
        return "EPSG:4326" if raw.always_wgs84 else None
    return short_name(raw.crs)


def box_of(raw: RawTable) -> tuple[float, float, float, float] | None:
    """Return west, south, east and north of a layer in degrees, None where nothing of it has a place."""
    if GEOMETRY not in raw.table.column_names:
        return None
    _, positions, _ = positions_of(raw)
    return bounds_of(corners for block in positions.blocks() for corners in _corners(block.xy))


def _corners(xy: Points) -> Iterator[Points]:
    """Yield the corners of boxes around runs of positions, so that a box across 180 degrees is still seen as one."""
    known = xy[np.isfinite(xy).all(axis=1) & xy.any(axis=1)]
    if len(known):
        starts = np.arange(0, len(known), _RUN)
        yield np.minimum.reduceat(known, starts)
        yield np.maximum.reduceat(known, starts)
