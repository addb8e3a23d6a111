"""What was made of a rate map, as JSON."""

from __future__ import annotations

from typing import Any

from taskdata.reports.convert_json import loss_document
from taskdata.reports.new_errors import new_errors_document
from taskdata.reports.ratemap_text import notes_of
from taskdata.reports.reading import reading_document
from taskdata.results.rate_maps import BillLine, RateArea, RateMap


def ratemap_document(result: RateMap) -> dict[str, Any]:
    """Return the document of ``ratemap --json``."""
    several = len(result.quantities) > 1
    return {
        "source": result.source,
        "target": result.target,
        "task": result.task,
        "field": result.field,
        "quantities": [{"ddi": item.ddi, "name": item.name, "unit": item.unit} for item in result.quantities],
        "as": str(result.form),
        "cells": result.cells,
        "zones": result.zones,
        "bill": [_bill(line) for line in result.bill],
        "rates": [_rate(item, several=several) for item in result.rates],
        "method_error": result.method_error,
        "losses": [loss_document(loss) for loss in result.written.losses],
        "new_errors": new_errors_document(result.written.new_errors),
        **reading_document(result.written.findings, notes_of(result)),
    }


def _bill(line: BillLine) -> dict[str, Any]:
    found = {
        "product": line.product,
        "unit": line.unit,
        "area_m2": line.area_m2,
        "before": line.before,
        "after": line.after,
        "difference": line.difference,
    }
    return found if line.fills is None else {**found, "fills": line.fills.full, "last_fill": line.fills.last}


def _rate(item: RateArea, *, several: bool) -> dict[str, Any]:
    found = {"rate": item.rate, "unit": item.unit, "area_m2": item.area_m2}
    return {**found, "quantity": item.quantity} if several else found
