"""What the audit looks at: the set as it was read, or the set that layers or records would become."""

from __future__ import annotations

from taskdata.exchange.agreement import in_agreement
from taskdata.exchange.behind import document_behind
from taskdata.isoxml.facts import elements
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.model.dataset import Dataset

TOLD_BY_READING = (
    "geometry.self-crossing",
    "geometry.hole-crossing",
    "geometry.hole-in-hole",
    "geometry.hole-outside",
)
"""Rules that say again of layers what their reader says with the row that it stands in."""
SAID_BY_RULES = ("import.field-twice",)
"""What reading says that rules say with the place and more exactly."""
_PARTS = ("PLN", "LSG", "PNT")


def auditable(dataset: Dataset) -> tuple[Document | None, Dataset]:
    """Return the document behind records, or the one that they would become, and its records; changed ones as they are.

    The parts of a field have no identifier in a document that is made here, so that a finding names the field, which
    the user sees elsewhere. The findings of reading stay.
    """
    dataset, _ = in_agreement(dataset)
    document = document_behind(dataset)
    if document is not None:
        return document, dataset
    from taskdata.exchange.refusing import refused
    from taskdata.isoxml.to_document.apply import document_of_records

    document, losses = document_of_records(dataset)
    for element in document.walk():
        if element.tag in _PARTS:
            element.attributes.pop(elements()[element.tag].id_letter or "", None)
    records = to_dataset(document)
    return document, records.with_changes(noted=(*dataset.noted, *refused(losses)))
