"""Rate maps: a planned task of a layer with rates, its column and unit chosen on the page."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from taskdata import api
from taskdata.exchange.rate_maps.choices import rate_columns
from taskdata.reports.ratemap_json import ratemap_document
from taskdata.workbench.bench import Bench
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets


def columns(bench: Bench, options: dict[str, Any]) -> Done:
    """List the columns of a layer that may hold rates."""
    layer, known = _sets.source_path(bench, options), _sets.known_reading(options.get("reading"))
    return Done({"columns": [asdict(item) for item in rate_columns(layer, **known)]})


def ratemap(bench: Bench, options: dict[str, Any]) -> Done:
    """Show the bill of a rate map and the map itself, or with ``accept`` go on with the set that holds it."""
    accept = bool(options.get("accept"))
    target = bench.fresh("rates.zip")
    result = api.ratemap(
        _sets.source_path(bench, options),
        target,
        unit=_sets.text(options, "unit") or "",
        column=_sets.text(options, "column") or (),
        product=_sets.text(options, "product") or (),
        field=_sets.text(options, "field"),
        into=None if options.get("alone") else bench.current,
        form=_sets.text(options, "form") or "zones",
        cell_m=_sets.number(options, "cell_m"),
        classes=_sets.text(options, "classes"),
        overlap=_sets.text(options, "overlap"),
        accept_rates=bool(options.get("accept_rates")),
        **_sets.known_reading(options.get("reading")),
    )
    return _sets.new_set(bench, options, {**ratemap_document(result), "accepted": accept}, target, keep=accept)
