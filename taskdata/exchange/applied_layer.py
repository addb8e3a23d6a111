"""What each section applied, as rows of the layer ``applied``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pyarrow as pa

from taskdata.exchange.result_columns import numbered, result_table
from taskdata.formats.columns import Layer, stacked
from taskdata.formats.layers.applied import SPEC
from taskdata.quantities.by_area import farm_rate
from taskdata.quantities.dictionary import entry
from taskdata.results.applied import SectionRuns
from taskdata.results.coverage import Coverage


def applied_layer(found: Sequence[Coverage], products: Mapping[str, str]) -> Layer:
    """Return what the sections of several tasks applied as a layer; ``products`` are names by identifier."""
    table = stacked(SPEC, [_table(item.task, runs, products) for item in found for runs in item.runs])
    return Layer(SPEC, numbered(SPEC, table, "run"))


def _table(task: str, runs: SectionRuns, products: Mapping[str, str]) -> pa.Table:
    shown = None if runs.ddi is None else farm_rate(runs.ddi)
    sections = [runs.sections[place] or (None, None) for place in runs.section.tolist()]
    columns = {
        "task": task,
        "log": runs.log,
        "device": runs.device,
        "section": [identifier for identifier, _ in sections],
        "section_name": [name for _, name in sections],
        "quantity": None if runs.ddi is None else entry(runs.ddi).plain_name,
        "delivered_by": runs.part,
        "product": runs.product,
        "product_name": products.get(runs.product or ""),
        "rate": None if shown is None else shown.rate(1.0) * runs.rate,
        "target": None if shown is None else shown.rate(1.0) * runs.target,
        "unit": None if shown is None else shown.unit,
        "amount": None if shown is None else shown.product(1.0) * runs.rate * runs.area_m2,
        "amount_unit": None if shown is None else shown.product_unit,
        "time_from": runs.begin,
        "time_to": runs.end,
        "area_m2": runs.area_m2,
    }
    return result_table(SPEC, columns, runs.ground)
