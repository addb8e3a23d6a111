"""Merge and compare: two sets, or more, on the map."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.errors import UsageError
from taskdata.file_formats.table import ISOXML
from taskdata.page.content import Content
from taskdata.page.layers.moves import MARK
from taskdata.reports.compare_json import compare_document
from taskdata.reports.merge_json import merge_document
from taskdata.results.comparison import sentence
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets


def merge(bench: Bench, options: dict[str, Any]) -> Done:
    """Make one set of all that was dropped."""
    if len(bench.sources) < 2:
        raise UsageError("one set alone cannot be merged", remedy="Drop another one beside it")
    target = bench.fresh("merged.zip")
    result = api.merge([source.path for source in bench.sources], target, to=ISOXML)
    dataset = _sets.dataset(bench, {}, target)
    content = Content(dataset, _sets.unchecked(dataset))
    return Done(merge_document(result), path=target, scene=_sets.map_of(bench, content, options))


def compare(bench: Bench, options: dict[str, Any]) -> Done:
    """Show what differs in the set from another one that was dropped."""
    other = _sets.dataset(bench, options, _sets.source_path(bench, options))
    dataset = _sets.dataset(bench, options)
    result = api.compare(other, dataset)
    found = compare_document(result)
    for number, (item, shown) in enumerate(zip(result.differences, found["differences"], strict=True)):
        shown |= {"sentence": sentence(item), "mark": MARK.format(number)}
    content = Content(dataset, _sets.unchecked(dataset), (), result, other)
    return Done(found, scene=_sets.map_of(bench, content, options))
