"""Look: what was dropped, and a map of it."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.errors import UsageError
from taskdata.phrases import phrase
from taskdata.reports.inspect import inspect_document
from taskdata.reports.survey_json import survey_document
from taskdata.results.survey import ItemKind
from taskdata.workbench.bench import Bench
from taskdata.workbench.drops import ZIP
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets

KINDS = {
    ItemKind.TASKDATA: phrase("task data"),
    ItemKind.FIELD: phrase("fields"),
    ItemKind.AREA: phrase("areas"),
    ItemKind.LINE: phrase("lines"),
    ItemKind.GUIDANCE: phrase("guidance lines"),
    ItemKind.SWATH: phrase("passes that were worked"),
    ItemKind.POINT: phrase("points"),
    ItemKind.LOG: phrase("logs"),
    ItemKind.RATEMAP: phrase("rate map"),
    ItemKind.OTHER: phrase("something else"),
}
"""What a thing in a drop is called."""


def look(bench: Bench, options: dict[str, Any]) -> Done:
    """List what lies in the drop; where it is one set, or one was chosen of several, show it."""
    dropped = bench.sources[0].path if bench.sources else bench.current
    survey = survey_document(api.survey(dropped))
    for item in survey["items"]:
        item["kind"] = KINDS[item["kind"]]
    chosen = _sets.text(options, "item")
    if survey["aside"] and not survey["items"] and dropped.suffix == ZIP:
        return Done({"survey": survey, "set": None})  # the list says of each file why it is left aside
    place = dropped / chosen if chosen else dropped
    again = _sets.opening(bench, place, _sets.known_reading(options))
    try:
        dataset = again()
    except UsageError:
        if chosen or len(survey["items"]) < 2:
            raise
        return Done({"survey": survey, "set": None})
    found = {"survey": survey, "set": inspect_document(dataset), "item": chosen}
    return Done(found, path=place, scene=_sets.plain_drawing(bench, options, dataset, again))
