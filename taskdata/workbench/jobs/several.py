"""Merge and compare: two sets, or more, on the map."""

from __future__ import annotations

from functools import partial
from typing import Any

from taskdata import api
from taskdata.errors import UsageError
from taskdata.file_formats.table import ISOXML
from taskdata.page.content import Content
from taskdata.page.layers.moves import DIFFERENCE_WORDS, MARK
from taskdata.page.wording import Wording
from taskdata.reports.compare_json import compare_document
from taskdata.reports.inspect import inspect_document
from taskdata.reports.merge_json import merge_document
from taskdata.results.comparison import Comparison
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

    def content() -> Content:
        now = api.read(target)
        return Content(now, _sets.unchecked(now), changed=result, sources=[api.read(place) for place in places])

    shown = content()
    found = {**merge_document(result), "set": inspect_document(shown.dataset)}
    return Done(partial(_merged, found), path=target, scene=_sets.drawing(bench, options, shown, content))


def _merged(document: dict[str, Any], word: Wording) -> dict[str, Any]:
    """Return what a merge decided in the language of a page: the first decisions, and how many there are."""
    journal = document["journal"]
    return {**document, "journal": _sets.phrased(journal[:_SHOWN], word, "what", "why"), "decisions": len(journal)}


def compare(bench: Bench, options: dict[str, Any]) -> Done:
    """Show what differs in the set from another one that was dropped."""
    first = _sets.opening(bench, _sets.source_path(bench, options))
    second = _sets.opening(bench)
    other, dataset = first(), second()
    result = api.compare(other, dataset)

    def content() -> Content:
        again = second()
        return Content(again, _sets.unchecked(again), (), result, first())

    shown_now = Content(dataset, _sets.unchecked(dataset), (), result, other)
    return Done(partial(_differing, result), scene=_sets.drawing(bench, options, shown_now, content))


def _differing(result: Comparison, word: Wording) -> dict[str, Any]:
    """Return the differences in the language of a page: the first, and how many there are."""
    found = compare_document(result)
    for number, (item, shown) in enumerate(zip(result.differences, found["differences"], strict=True)):
        kind = word.t(DIFFERENCE_WORDS[item.kind])
        shown |= {"sentence": f"{kind}: {word.difference(item)}", "mark": MARK.format(number)}
    return {**found, "differences": found["differences"][:_SHOWN], "count": len(result.differences)}
