"""What each section applied, as rows of the layer ``applied``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pyarrow as pa

from taskdata.formats.columns import ARROW, GEOMETRY, Layer, stacked
from taskdata.formats.geometries import shapes
from taskdata.formats.layers.applied import SPEC
from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.results.applied import SectionRuns
from taskdata.results.coverage import Coverage


def applied_layer(found: Sequence[Coverage], products: Mapping[str, str]) -> Layer:
    """Return what the sections of several tasks applied as a layer; ``products`` are names by identifier."""
    table = stacked(SPEC, [_table(item.task, runs, products) for item in found for runs in item.runs])
    numbers = pa.array(np.arange(1, table.num_rows + 1), ARROW[SPEC.by_name["run"].type])
    return Layer(SPEC, table.set_column(table.column_names.index("run"), "run", numbers))


def _table(task: str, runs: SectionRuns, products: Mapping[str, str]) -> pa.Table:
    count = len(runs.section)
    shown = None if runs.ddi is None else farm_rate(runs.ddi)
    sections = [runs.sections[place] or (None, None) for place in runs.section.tolist()]
    always = {
        "run": None,
        "task": task,
        "log": runs.log,
        "device": runs.device,
        "quantity": None if runs.ddi is None else entry(runs.ddi).plain_name,
        "delivered_by": runs.part,
        "product": runs.product,
        "product_name": products.get(runs.product or ""),
        "unit": None if shown is None else shown.unit,
        "amount_unit": None if shown is None else shown.product_unit,
    }
    columns = {name: [value] * count for name, value in always.items()} | {
        "section": [identifier for identifier, _ in sections],
        "section_name": [name for _, name in sections],
        "rate": None if shown is None else shown.rate(1.0) * runs.rate,
        "target": None if shown is None else shown.rate(1.0) * runs.target,
        "amount": None if shown is None else shown.product(1.0) * runs.rate * runs.area_m2,
        "time_from": runs.begin,
        "time_to": runs.end,
        "area_m2": runs.area_m2,
    }
    arrays = [_array(columns[column.name], ARROW[column.type], count) for column in SPEC.columns]
    arrays.append(pa.array([shapes.to_wkb(shape) for shape in runs.ground], pa.binary()))
    return pa.Table.from_arrays(arrays, names=[*(column.name for column in SPEC.columns), GEOMETRY])


def _array(values: object, kind: pa.DataType, count: int) -> pa.Array:
    """Return a column; NaN and NaT stand for nothing."""
    if values is None:
        return pa.nulls(count, kind)
    return pa.array(values, kind, from_pandas=isinstance(values, np.ndarray))
