"""What is known of a layer beside its rows: what it is, its system, and where it lies."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely

from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.roles.judgement import Judgement
from taskdata.formats.foreign.roles.judging import judge
from taskdata.formats.layers.of_dataset import is_own
from taskdata.geometry.arrays import Points
from taskdata.geometry.system_names import short_name
from taskdata.model.whereabouts import bounds_of
from taskdata.results.survey import ItemKind

_OWN = {
    "fields": ItemKind.FIELD,
    "areas": ItemKind.AREA,
    "lines": ItemKind.LINE,
    "guidance_lines": ItemKind.GUIDANCE,
    "points": ItemKind.POINT,
    "treatment_zones": ItemKind.RATEMAP,
    "grid_cells": ItemKind.RATEMAP,
    "log_records": ItemKind.LOG,
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


def _corners(raw: RawTable) -> Points | None:
    """Return the corners of the boxes around the rows of a layer, None without a row that has a place."""
    if GEOMETRY not in raw.table.column_names:
        return None
    records = np.empty(raw.table.num_rows, dtype=object)
    records[:] = raw.table[GEOMETRY].to_pylist()
    with np.errstate(invalid="ignore"):
        boxes = shapely.bounds(shapely.from_wkb(records, on_invalid="ignore"))
    boxes = boxes[np.isfinite(boxes).all(axis=1)]
    return np.vstack([boxes[:, :2], boxes[:, 2:]]) if len(boxes) else None


def box_of(raw: RawTable) -> tuple[float, float, float, float] | None:
    """Return west, south, east and north of a layer in degrees, None where nothing of it has a place."""
    corners = _corners(raw)
    return None if corners is None else bounds_of([corners])
