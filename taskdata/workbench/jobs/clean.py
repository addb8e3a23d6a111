"""Clean: what can be repaired, each repair to be accepted or left; then the repaired set."""

from __future__ import annotations

from functools import partial
from typing import Any

from taskdata import api
from taskdata.file_formats.table import ISOXML
from taskdata.page.content import Content
from taskdata.page.layers.changes import change_marks, of_change
from taskdata.page.wording import Wording
from taskdata.reports.clean_json import clean_document
from taskdata.reports.inspect import inspect_document
from taskdata.workbench.bench import Bench
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets


def clean(bench: Bench, options: dict[str, Any]) -> Done:
    """Show what cleaning would change, or with ``accept`` change it, but for the rules that are to be left.

    Either way the cleaned set is made, so that the map shows it beside the set as it was.
    """
    accept = bool(options.get("accept"))
    target = bench.fresh("cleaned.zip")
    source, known = bench.current, _sets.reading(bench)
    result = api.clean(source, target, to=ISOXML, review=True, leave=_sets.names(options, "leave"), **known)
    before, after = _sets.opening(bench, source, known), _sets.opening(bench, target, {})

    def content() -> Content:
        then, now = before(), after()
        return Content(now, _sets.unchecked(now), (), api.compare(then, now), then, result)

    shown = content()
    document, marks = clean_document(result), change_marks(result)
    for change, item in zip(result.changes, document["changes"], strict=True):
        concerned = of_change(change)
        item["mark"] = "" if concerned is None else marks[concerned]
    found = {**document, "accepted": accept, **({"set": inspect_document(shown.dataset)} if accept else {})}
    drawing = _sets.drawing(bench, options, shown, content)
    return Done(partial(_told, found), path=target if accept else None, scene=drawing)


def _told(document: dict[str, Any], word: Wording) -> dict[str, Any]:
    """Return the repairs in the language of a page: of each rule the first, and how many there are."""
    changes = _sets.phrased(document["changes"], word, "reason")
    rest = {name: value for name, value in document.items() if name != "changes"}
    return {**rest, "groups": _sets.grouped(changes, "rule")}
