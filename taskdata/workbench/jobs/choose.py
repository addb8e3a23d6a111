"""Choose: a part of the set."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.file_formats.table import ISOXML
from taskdata.model.choice import Only
from taskdata.page.content import Content
from taskdata.reports.inspect import inspect_document
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets


def choose(bench: Bench, options: dict[str, Any]) -> Done:
    """Keep the fields and tasks that are named, with what they need."""
    only: Only = {"fields": _sets.names(options, "fields"), "tasks": _sets.names(options, "tasks")}
    part = _sets.dataset(bench, options).only(**only)
    target = bench.fresh("chosen.zip")
    api.write(part, target, to=ISOXML)
    shown = _sets.dataset(bench, {}, target)
    content = Content(shown, _sets.unchecked(shown))
    return Done({"set": inspect_document(part)}, path=target, scene=_sets.map_of(bench, content, options))
