"""Clean: what can be repaired, each repair to be accepted or left; then the repaired set."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.file_formats.table import ISOXML
from taskdata.page.content import Content
from taskdata.reports.clean_json import clean_document
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets


def clean(bench: Bench, options: dict[str, Any]) -> Done:
    """Show what cleaning would change, or with ``accept`` change it, but for the rules that are to be left."""
    accept = bool(options.get("accept"))
    target = bench.fresh("cleaned.zip")
    leave = _sets.names(options, "leave")
    result = api.clean(
        bench.current, target, to=ISOXML, review=True, leave=leave, dry_run=not accept, **_sets.reading(options)
    )
    found = {**clean_document(result), "accepted": accept}
    if not accept:
        return Done(found)
    dataset = _sets.dataset(bench, {}, target)
    return Done(found, path=target, scene=_sets.map_of(bench, Content(dataset, api.check(dataset)), options))
