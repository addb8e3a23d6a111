"""Sets of any format side by side, each with a document."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from taskdata.adapt.versions import to_version
from taskdata.exchange.agreement import in_agreement
from taskdata.exchange.behind import document_behind
from taskdata.exchange.refusing import refused
from taskdata.isoxml.to_document.apply import DEFAULT_VERSION, document_of_records
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.ledger import Loss
from taskdata.model.dataset import Dataset
from taskdata.phrases import phrase
from taskdata.sets.side import Side
from taskdata.versions import writable


def sides_of(datasets: Sequence[Dataset]) -> tuple[list[Side], list[Loss]]:
    """Return sets with their documents, and what making them costs.

    Layers that no set stands behind get the version of the first set that has one.

    Parameters
    ----------
    datasets : sequence of Dataset
        As read from any format.
    """
    documents = (document_behind(dataset) for dataset in datasets)
    versions = (document.version for document in documents if document is not None)
    major = next((version[0] for version in versions if version is not None), DEFAULT_VERSION)
    made = [side_of(dataset, major) for dataset in datasets]
    losses = [
        replace(loss, what=f"{dataset.source}: {loss.what}")
        for dataset, (_, cost) in zip(datasets, made, strict=True)
        for loss in cost
    ]
    return [side for side, _ in made], losses


def side_of(dataset: Dataset, version: int = DEFAULT_VERSION) -> tuple[Side, list[Loss]]:
    """Return a set with its document, and what making it costs.

    Records of layers that no set stands behind get a document of ``version`` made of them.

    Parameters
    ----------
    dataset : Dataset
        As read from any format.
    version : int
        Major version of a document that is made.
    """
    dataset, losses = in_agreement(dataset)
    document = document_behind(dataset)
    if document is not None:
        return Side(document, dataset), losses
    made, losses = document_of_records(dataset, version)
    found = (*dataset.noted, *refused(losses))
    return Side(made, to_dataset(made).with_changes(source=dataset.source, noted=found), of_layers=True), losses


def of_one_version(sides: Sequence[Side]) -> tuple[list[Side], list[Loss]]:
    """Return sets brought to the newest version among them, and what that costs.

    Sets of a version that cannot be written, or of none, stay as they are. A set still says who wrote it.
    """
    majors = [side.document.version[0] if side.document.version is not None else None for side in sides]
    newest = max((major for major in majors if major is not None), default=0)
    adapted, losses = [], []
    for side, major in zip(sides, majors, strict=True):
        if major in {None, newest} or newest not in writable():
            adapted.append(side)
            continue
        name = side.dataset.source
        document, cost = to_version(side.document, newest, sign=False)
        adapted.append(Side(document, to_dataset(document).with_changes(source=name), side.of_layers))
        losses += [replace(loss, what=phrase("{source}: {what}", source=name, what=loss.what)) for loss in cost]
    return adapted, losses
