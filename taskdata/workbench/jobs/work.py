"""Coverage and passes: what was worked, and what the next passes are, with an implement given by hand."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.fieldwork.implement import Implement
from taskdata.page.content import Content
from taskdata.reports.coverage_json import coverage_document
from taskdata.reports.coverage_text import warnings_of
from taskdata.reports.passes import passes_document
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets


def coverage(bench: Bench, options: dict[str, Any]) -> Done:
    """Compute what tasks worked, missed and worked twice."""
    dataset = _sets.dataset(bench, options)
    width = _sets.number(options, "width_m")
    implement = Implement(
        width_m=width,
        overlap_m=_sets.number(options, "overlap_m") or 0.0,
        skip_m=_sets.number(options, "skip_m") or 0.0,
        offset_right_m=_sets.number(options, "offset_right_m"),
        offset_back_m=_sets.number(options, "offset_back_m"),
        trailed_m=_sets.number(options, "trailed_m"),
    )
    found = api.coverage(dataset, implement=implement)
    content = Content(dataset, _sets.unchecked(dataset), found.tasks)
    document = coverage_document(found, warnings_of(found.tasks))
    return Done(document, scene=_sets.map_of(bench, content, options))


def passes(bench: Bench, options: dict[str, Any]) -> Done:
    """Plan the passes of a field along a guidance line."""
    dataset = _sets.dataset(bench, options)
    found = api.passes(
        dataset,
        field=_sets.text(options, "field"),
        line=_sets.text(options, "line"),
        width_m=_sets.number(options, "width_m"),
        overlap_m=_sets.number(options, "overlap_m") or 0.0,
        skip_m=_sets.number(options, "skip_m") or 0.0,
    )
    return Done(passes_document(found.plan, found.findings))
