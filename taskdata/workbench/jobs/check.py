"""Check: findings on the map."""

from __future__ import annotations

from functools import partial
from typing import Any

from taskdata import api
from taskdata.page.content import Content
from taskdata.page.layers.findings import MARK
from taskdata.page.wording import Wording
from taskdata.reports.check_json import check_document
from taskdata.results.audit import CheckReport
from taskdata.workbench.bench import Bench
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets


def check(bench: Bench, options: dict[str, Any]) -> Done:
    """Audit the set; each finding says in the reader's language what is wrong and what to do."""
    again = _sets.opening(bench)
    dataset = again()
    report = api.check(dataset, repairs=True)
    drawing = _sets.drawing(bench, options, Content(dataset, report), lambda: Content(again(), report))
    return Done(partial(_shown, report), scene=drawing)


def _shown(report: CheckReport, word: Wording) -> dict[str, Any]:
    """Return the findings in the language of a page: of each rule the first, and how many there are."""
    document = check_document(report)
    for number, (finding, shown) in enumerate(zip(report.findings, document["findings"], strict=True)):
        shown |= {"message": word.message(finding), "remedy": word.remedy(finding), "mark": MARK.format(number)}
    document["groups"] = _sets.grouped(document.pop("findings"), "severity", "rule")
    return document
