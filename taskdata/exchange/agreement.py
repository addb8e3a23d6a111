"""Records that were changed in Python, and the document behind them, brought to say the same."""

from __future__ import annotations

from collections.abc import Hashable

from taskdata.exchange.behind import document_behind
from taskdata.findings import Finding
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset


def in_agreement(dataset: Dataset) -> tuple[Dataset, list[Loss]]:
    """Return a data set whose document says what its records say, and what that costs.

    The identical one where no record was changed since it was read, or no document stands behind it.
    """
    behind = document_behind(dataset)
    if behind is None or not dataset.changed:
        return dataset, []
    from taskdata.exchange.refusing import refused
    from taskdata.isoxml.to_document.apply import apply
    from taskdata.isoxml.tree.copying import copy_to_change

    document = copy_to_change(behind)
    base = to_dataset(document)
    losses = apply(document, base, dataset)
    fresh = to_dataset(document)
    noted = (*noted_beside(base, dataset), *fresh.noted, *refused(losses))
    told = {"noted": noted, "losses": dataset.losses, "chosen": dataset.chosen}
    return fresh.with_changes(source=dataset.source, format=dataset.format, **told), losses


def noted_beside(base: Dataset, dataset: Dataset) -> list[Finding]:
    """Return what was noted of a data set, as of the layers it was read from, and not of the document behind it."""
    of_set = {_key(finding) for finding in base.noted}
    return [finding for finding in dataset.noted if _key(finding) not in of_set]


def _key(finding: Finding) -> tuple[Hashable, ...]:
    """Return what tells a finding from others: what reading a document again tells again is the same."""
    return finding.rule.id, finding.place, *finding.facts.items()
