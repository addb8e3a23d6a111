"""Rate maps: a planned task of a layer with rates, its column and unit chosen on the page."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.page.content import Content
from taskdata.reports.ratemap_json import ratemap_document
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets


def ratemap(bench: Bench, options: dict[str, Any]) -> Done:
    """Show the bill of a rate map, or with ``accept`` put it into the set."""
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
        accept_rates=bool(options.get("accept_rates")),
        dry_run=not accept,
    )
    found = {**ratemap_document(result), "accepted": accept}
    if not accept:
        return Done(found)
    dataset = _sets.dataset(bench, {}, target)
    content = Content(dataset, _sets.unchecked(dataset))
    return Done(found, path=target, scene=_sets.map_of(bench, content, options))
