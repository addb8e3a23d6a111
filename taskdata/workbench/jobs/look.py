"""Look: what was dropped, and a map of it."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.errors import UsageError
from taskdata.page.content import Content
from taskdata.reports.inspect import inspect_document
from taskdata.reports.survey_json import survey_document
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets


def look(bench: Bench, options: dict[str, Any]) -> Done:
    """List what lies in the drop; where it is one set, or one was chosen of several, show it."""
    survey = survey_document(api.survey(bench.current))
    chosen = _sets.text(options, "item")
    place = bench.current / chosen if chosen else bench.current
    try:
        dataset = _sets.dataset(bench, options, place)
    except UsageError:
        if chosen or len(survey["items"]) < 2:
            raise
        return Done({"survey": survey, "set": None})
    content = Content(dataset, _sets.unchecked(dataset))
    found = {"survey": survey, "set": inspect_document(dataset)}
    return Done(found, path=place if chosen else None, scene=_sets.map_of(bench, content, options))
