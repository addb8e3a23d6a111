"""What reading found in several sources, each told with its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from taskdata.findings import Finding
from taskdata.model.dataset import Dataset
from taskdata.phrases import phrase


def findings_of(datasets: Sequence[Dataset]) -> tuple[Finding, ...]:
    """Return what reading found in data sets; of several, what could not be read is told with the source it is in."""
    if len(datasets) == 1:
        return datasets[0].findings
    return tuple(_in_source(item, dataset.source) for dataset in datasets for item in dataset.findings)


def _in_source(finding: Finding, source: str) -> Finding:
    if finding.unread is None:
        return finding
    return replace(
        finding,
        unread=replace(finding.unread, what=phrase("{kind} in {source}", kind=finding.unread.what, source=source)),
    )
