"""Choose: a part of the set."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.errors import UsageError
from taskdata.file_formats.table import ISOXML
from taskdata.model.choice import Only
from taskdata.workbench.bench import Bench
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets


def choose(bench: Bench, options: dict[str, Any]) -> Done:
    """Keep the fields and tasks that are named, with what they need."""
    only: Only = {"fields": _sets.names(options, "fields"), "tasks": _sets.names(options, "tasks")}
    if not any(only.values()):
        raise UsageError("nothing is chosen", remedy="Tick at least one field or task")
    part = _sets.opening(bench)().only(**only)
    target = bench.fresh("chosen.zip")
    api.write(part, target, to=ISOXML)
    return _sets.new_set(bench, options, {}, target)
