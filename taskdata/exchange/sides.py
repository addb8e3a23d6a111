"""Sets of any format side by side, each with a document."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.exchange.load import document_behind
from taskdata.isoxml.to_document.apply import DEFAULT_VERSION, apply, new_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.model.dataset import Dataset
from taskdata.sets.side import Side


def sides_of(datasets: Sequence[Dataset]) -> list[Side]:
    """Return sets with their documents; layers that no set stands behind get the version of the first set that has one.

    Parameters
    ----------
    datasets : sequence of Dataset
        As read from any format.
    """
    documents = (document_behind(dataset) for dataset in datasets)
    versions = (document.version for document in documents if document is not None)
    major = next((version[0] for version in versions if version is not None), DEFAULT_VERSION)
    return [side_of(dataset, major) for dataset in datasets]


def side_of(dataset: Dataset, version: int = DEFAULT_VERSION) -> Side:
    """Return a set with its document; records of layers that no set stands behind get one of ``version`` made of them.

    Parameters
    ----------
    dataset : Dataset
        As read from any format.
    version : int
        Major version of a document that is made.
    """
    document = document_behind(dataset)
    if document is not None:
        return Side(document, dataset)
    made = new_document(dataset.source, version)
    apply(made, Dataset(dataset.source, "isoxml"), dataset)
    return Side(made, to_dataset(made).with_changes(source=dataset.source))
