"""What each record measured, as rows of the layer ``measured``."""

from __future__ import annotations

from collections.abc import Sequence

import pyarrow as pa

from taskdata.exchange.result_columns import numbered, result_table
from taskdata.formats.columns import Layer, stacked
from taskdata.formats.layers.measured import SPEC
from taskdata.quantities.dictionary import entry
from taskdata.quantities.units import conversion
from taskdata.results.coverage import Coverage
from taskdata.results.measured import MeasuredQuantity


def measured_layer(found: Sequence[Coverage]) -> Layer:
    """Return what records of several tasks measured as a layer."""
    parts = [_table(item.task, item.measured) for item in found if item.measured is not None]
    return Layer(SPEC, numbered(SPEC, stacked(SPEC, [part for part in parts if part is not None]), "row"))


def _table(task: str, found: MeasuredQuantity) -> pa.Table | None:
    drawn = found.draw()
    if drawn is None:
        return None
    known = conversion(found.shown_ddi, "metric")
    factor, offset = (1.0, 0.0) if known is None else (float(known.factor), float(known.offset))
    rules = [rule.rule for rule in found.left_out]
    columns = {
        "task": task,
        "log": list(drawn.log),
        "record": drawn.record,
        "time": drawn.time,
        "quantity": entry(found.shown_ddi).plain_name,
        "value": drawn.value * factor + offset,
        "unit": entry(found.shown_ddi).unit if known is None else known.unit,
        "moisture": 100.0 * drawn.moisture,
        "left_out": [None if place < 0 else rules[place] for place in drawn.rule.tolist()],
        "area_m2": drawn.area_m2,
    }
    return result_table(SPEC, columns, drawn.ground)
