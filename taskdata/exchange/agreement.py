"""Records that were changed in Python, and the document behind them, brought to say the same."""

from __future__ import annotations

from taskdata.exchange.load import document_behind
from taskdata.exchange.refusing import refused
from taskdata.isoxml.to_document.apply import apply
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.copying import copy_to_change
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset


def in_agreement(dataset: Dataset) -> tuple[Dataset, list[Loss]]:
    """Return a data set whose document says what its records say, and what that costs.

    The identical one where no record was changed since it was read, or no document stands behind it.
    """
    behind = document_behind(dataset)
    if behind is None or not dataset.changed:
        return dataset, []
    document = copy_to_change(behind)
    losses = apply(document, to_dataset(document), dataset)
    fresh = to_dataset(document)
    noted = (*fresh.noted, *refused(losses))
    return fresh.with_changes(source=dataset.source, format=dataset.format, noted=noted, losses=dataset.losses), losses
