"""The document behind records."""

from __future__ import annotations

from taskdata.isoxml.tree.document import Document
from taskdata.model.dataset import Dataset


def document_behind(dataset: Dataset) -> Document | None:
    """Return the lossless document that records were read from, None where there is none."""
    return dataset.lossless if isinstance(dataset.lossless, Document) else None
