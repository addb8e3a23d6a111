"""Coverage and passes: what was worked, and what the next passes are, with an implement given by hand."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.fieldwork.implement import Implement
from taskdata.file_formats.table import ISOXML
from taskdata.page.content import Content
from taskdata.reports.coverage_json import coverage_document
from taskdata.reports.coverage_text import warnings_of
from taskdata.reports.passes import passes_document
from taskdata.workbench.bench import Bench
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets


def coverage(bench: Bench, options: dict[str, Any]) -> Done:
    """Compute what tasks worked, missed and worked twice."""
    again = _sets.opening(bench)
    dataset = again()
    implement = Implement(
        width_m=_sets.number(options, "width_m"),
        overlap_m=_sets.number(options, "overlap_m") or 0.0,
        skip_m=_sets.number(options, "skip_m") or 0.0,
        offset_right_m=_sets.number(options, "offset_right_m"),
        offset_back_m=_sets.number(options, "offset_back_m"),
        trailed_m=_sets.number(options, "trailed_m"),
    )
    found = api.coverage(dataset, implement=implement)

    def content() -> Content:
        shown = again()
        return Content(shown, _sets.unchecked(shown), found.tasks)

    drawing = _sets.drawing(bench, options, Content(dataset, _sets.unchecked(dataset), found.tasks), content)
    return Done(coverage_document(found, warnings_of(found.tasks)), scene=drawing)


def passes(bench: Bench, options: dict[str, Any]) -> Done:
    """Show the passes of a field along a guidance line, or with ``accept`` add them to the set."""
    accept = bool(options.get("accept"))
    target = bench.fresh("passes.zip")
    found = api.passes(
        _sets.opening(bench)(),
        field=_sets.text(options, "field"),
        line=_sets.text(options, "line"),
        width_m=_sets.number(options, "width_m"),
        overlap_m=_sets.number(options, "overlap_m") or 0.0,
        skip_m=_sets.number(options, "skip_m") or 0.0,
        headland=int(_sets.number(options, "headland") or 0),
        output=target,
        to=ISOXML,
    )
    document = {**passes_document(found.plan, found.findings), "accepted": accept}
    return _sets.new_set(bench, options, document, target, keep=accept)
