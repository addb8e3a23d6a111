"""Merge and compare: two sets, or more, on the map."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.errors import UsageError
from taskdata.file_formats.table import ISOXML
from taskdata.page.content import Content
from taskdata.page.layers.moves import MARK
from taskdata.reports.compare_json import compare_document
from taskdata.reports.inspect import inspect_document
from taskdata.reports.merge_json import merge_document
from taskdata.results.comparison import sentence
from taskdata.workbench.bench import Bench
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets

_SHOWN = 300


def merge(bench: Bench, options: dict[str, Any]) -> Done:
    """Make one set of the set as it is now and of all that was dropped beside it."""
    if len(bench.sources) < 2:
        raise UsageError("one set alone cannot be merged", remedy="Drop another one beside it")
    target = bench.fresh("merged.zip")
    places = [bench.current, *(source.path for source in bench.sources[1:])]
    result = api.merge(places, target, to=ISOXML)
    found = merge_document(result)
    found["journal"], found["decisions"] = found["journal"][:_SHOWN], len(found["journal"])

    def content() -> Content:
        now = api.read(target)
        return Content(now, _sets.unchecked(now), changed=result, sources=[api.read(place) for place in places])

    shown = content()
    found["set"] = inspect_document(shown.dataset)
    return Done(found, path=target, scene=_sets.drawing(bench, options, shown, content))


def compare(bench: Bench, options: dict[str, Any]) -> Done:
    """Show what differs in the set from another one that was dropped."""
    first = _sets.opening(bench, _sets.source_path(bench, options))
    second = _sets.opening(bench)
    other, dataset = first(), second()
    result = api.compare(other, dataset)
    found = compare_document(result)
    for number, (item, shown) in enumerate(zip(result.differences, found["differences"], strict=True)):
        shown |= {"sentence": sentence(item), "mark": MARK.format(number)}
    found["differences"], found["count"] = found["differences"][:_SHOWN], len(found["differences"])

    def content() -> Content:
        again = second()
        return Content(again, _sets.unchecked(again), (), result, first())

    shown_now = Content(dataset, _sets.unchecked(dataset), (), result, other)
    return Done(found, scene=_sets.drawing(bench, options, shown_now, content))
