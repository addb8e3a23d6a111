"""The whole document as one data set."""

from __future__ import annotations

from typing import Any

from taskdata.file_formats.table import ISOXML
from taskdata.isoxml.to_model import fields, machines, products, tasks
from taskdata.isoxml.to_model.named_files import look_at_files
from taskdata.isoxml.to_model.reading import Reading
from taskdata.isoxml.tree.document import Document
from taskdata.model.dataset import Dataset
from taskdata.progress import each


def to_dataset(document: Document) -> Dataset:
    """Return the meaning of a document.

    Nothing in the data makes this fail: what cannot be read becomes a finding, and the rest is there. Points that stand
    in runs outside line strings are turned into elements of the document first, so that each has its own key.
    """
    document.expand_loose_points()
    reading = Reading(document)
    records: dict[str, Any] = {
        "customers": reading.each(document.top("CTR"), fields.customer),
        "farms": reading.each(document.top("FRM"), fields.farm),
        "fields": reading.each(each(document.top("PFD"), "Making records", "fields"), fields.field),
        "products": reading.each(document.top("PDT"), products.product),
        "workers": reading.each(document.top("WKR"), products.worker),
        "crops": reading.each(document.top("CTP"), products.crop),
        "machines": reading.each(document.top("DVC"), machines.machine),
        "tasks": reading.each(each(document.top("TSK"), "Making records", "tasks"), tasks.task),
    }
    read = Dataset(
        source=document.source,
        format=ISOXML,
        version=document.version,
        origin=document.origin,
        counts=document.counts(),
        lossless=document,
        as_read=records,
        **records,
    )
    document.forget_keys()
    noted = (*document.findings, *reading.findings)
    return read.with_changes(noted=noted, examine=lambda: look_at_files(document, read.tasks))
