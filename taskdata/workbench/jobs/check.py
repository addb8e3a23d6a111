"""Check: findings on the map."""

from __future__ import annotations

from typing import Any

from taskdata import api
from taskdata.page.content import Content
from taskdata.page.layers.findings import MARK
from taskdata.reports.check_json import check_document
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets


def check(bench: Bench, options: dict[str, Any]) -> Done:
    """Audit the set; each finding says in the reader's language what is wrong and what to do."""
    dataset = _sets.dataset(bench, options)
    report = api.check(dataset, repairs=True)
    word = _sets.wording(options)
    document = check_document(report)
    for number, (finding, shown) in enumerate(zip(report.findings, document["findings"], strict=True)):
        shown |= {"message": word.message(finding), "remedy": word.remedy(finding), "mark": MARK.format(number)}
    return Done(document, scene=_sets.map_of(bench, Content(dataset, report), options))
