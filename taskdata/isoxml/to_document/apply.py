"""Lay a model over a document, or make a new document of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from taskdata.errors import UsageError
from taskdata.file_formats.table import ISOXML
from taskdata.isoxml.facts import ROOT
from taskdata.isoxml.to_document.change import DocumentChange, Keyed, named
from taskdata.isoxml.to_document.fields import (
    CUSTOMER,
    FARM,
    create_customer,
    create_farm,
    create_field,
    update_field,
)
from taskdata.isoxml.to_document.fitting import Attribute
from taskdata.isoxml.to_document.machines import create_machine
from taskdata.isoxml.to_document.references import mend_references, resolve_references
from taskdata.isoxml.to_document.same_points import same
from taskdata.isoxml.to_document.tasks import create_task, grid_differs, update_task, without_cells
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.ledger import Loss, LossKind
from taskdata.model.dataset import Dataset
from taskdata.model.machines import Crop, Product
from taskdata.model.tasks import Task
from taskdata.phrases import phrase
from taskdata.versions import default_version, either, revisions

WRITER = "taskdata"
WRITER_VERSION = "0.1"
VERSIONS = dict(revisions())
"""Minor version that a new document of each major version declares: its newest."""
DEFAULT_VERSION = default_version()
"""Major version of a document that is made anew where nothing asks for another."""

_PRODUCT = (Attribute("ProductDesignator", "name"),)
_WORKER = (
    Attribute("WorkerLastName", "name"),
    Attribute("WorkerFirstName", "first_name"),
)


_CROP = (
    Attribute("CropTypeDesignator", "name"),
    Attribute("ProductGroupIdRef", "group"),
)
_VARIETY = (
    Attribute("CropVarietyDesignator", "name"),
    Attribute("ProductIdRef", "product"),
)


def new_document(source: str, major: int) -> Document:
    """Return an empty set of the given major version, written by the office side.

    Raises
    ------
    UsageError
        There is no such version to write.
    """
    if major not in VERSIONS:
        raise UsageError(f"version {major} cannot be written", remedy=f"Choose {either(tuple(VERSIONS))}")
    attributes = {
        "VersionMajor": str(major),
        "VersionMinor": str(VERSIONS[major]),
        "ManagementSoftwareManufacturer": WRITER,
        "ManagementSoftwareVersion": WRITER_VERSION,
        "DataTransferOrigin": "1",
    }
    root = Element(ROOT, attributes, file="TASKDATA.XML")
    return Document(source, [XmlFile("TASKDATA.XML", "main", root)])


def document_of_records(dataset: Dataset, major: int = DEFAULT_VERSION) -> tuple[Document, list[Loss]]:
    """Return a new set of the given major version that says what records say, and what could not be taken over.

    Raises
    ------
    UsageError
        There is no such version to write.
    """
    document = new_document(dataset.source, major)
    document.authored = True
    return document, apply(document, Dataset(dataset.source, ISOXML), dataset)


def apply(document: Document, base: Dataset, dataset: Dataset) -> list[Loss]:
    """Change ``document`` in place so that it says what ``dataset`` says where that differs from ``base``.

    Parameters
    ----------
    document : Document
        What ``base`` was read from; or a new document, with an empty ``base``.
    base, dataset : Dataset
        Records with equal ``key`` stand for the same element.

    Returns
    -------
    list of Loss
        What could not be taken over as it is.
    """
    change = DocumentChange(document)
    _top(change, base.customers, dataset.customers, _updater(CUSTOMER), create_customer)
    _top(change, base.farms, dataset.farms, _updater(FARM), create_farm)
    _products(change, base, dataset)
    _top(change, base.workers, dataset.workers, _updater(_WORKER), _maker("WKR", _WORKER))
    _top(change, base.crops, dataset.crops, _update_crop, _create_crop)
    _top(change, base.fields, dataset.fields, update_field, create_field)
    _tasks(change, base, dataset)
    _machines(change, base, dataset)
    mend_references(change)
    resolve_references(change)
    if change.rounded:
        change.lose(
            LossKind.APPROXIMATED,
            None,
            phrase("new coordinates are rounded to 1e-9 degree"),
            phrase("0.1 mm on the ground"),
        )
    document.touch()
    return change.losses


def _tasks(change: DocumentChange, base: Dataset, dataset: Dataset) -> None:
    """Lay tasks over the document; their grids are compared apart, because reading them costs."""
    before = {task.key: task for task in base.tasks}
    for task in dataset.tasks:
        old = before.get(task.key)
        if old is not None and grid_differs(old, task) and old.grid is not None and task.grid is not None:
            change.document.authored = True
            update_task(change, change.element(task.key), old, replace(old, grid=task.grid))
        if old is not None and (len(task.logs) < len(old.logs) or (task.grid is None and old.grid is not None)):
            why = phrase("logs and grids of a task are kept with it")
            change.lose(LossKind.DROPPED, task.id, phrase("removal of a log or grid"), why)
    bare = tuple(without_cells(task) for task in base.tasks)

    def make(inner: DocumentChange, task: Task) -> Element:
        whole = next((item for item in dataset.tasks if item.key == task.key and item.id == task.id), task)
        return create_task(inner, whole)

    _top(change, bare, tuple(without_cells(task) for task in dataset.tasks), update_task, make)


def _products(change: DocumentChange, base: Dataset, dataset: Dataset) -> None:
    _top(change, base.products, dataset.products, _updater(_PRODUCT), _maker("PDT", _PRODUCT))
    known: dict[int | None, Product] = {item.key: item for item in base.products if item.key is not None}
    why = phrase("how a product is measured and mixed stays with its set and cannot be created or changed from records")
    for product in dataset.products:
        change.tell_unstored(known.get(product.key), product, ("group", "quantity_ddi", "components"), why)
        if product.mixture and not getattr(known.get(product.key), "mixture", False):
            change.lose(LossKind.DROPPED, product.id, phrase("mixture of {product}", product=named(product)), why)


def _create_crop(change: DocumentChange, crop: Crop) -> Element:
    element = _maker("CTP", _CROP)(change, crop)
    _varieties(change, element, Crop(crop.id, crop.name), crop)
    return element


def _update_crop(change: DocumentChange, element: Element, old: Crop, new: Crop) -> None:
    change.lay(element, _CROP, old, new)
    _varieties(change, element, old, new)


def _varieties(change: DocumentChange, element: Element, old: Crop, new: Crop) -> None:
    make = _maker("CVT", _VARIETY)
    change.sync(
        element,
        old.varieties,
        new.varieties,
        lambda child, before, after: change.lay(child, _VARIETY, before, after),
        lambda variety: make(change, variety),
    )


def _machines(change: DocumentChange, base: Dataset, dataset: Dataset) -> None:
    """Make new machines, and say which others cannot be taken over: a description is more than the model holds."""
    known = {machine.key: machine for machine in base.machines}
    for machine in dataset.machines:
        old = known.pop(machine.key, None)
        if old is None:
            change.document.authored = True
            change.document.root.append(create_machine(change, machine))
        elif not same(old, machine):
            why = phrase("the description of a device stays with its set and cannot be changed from the model")
            change.lose(LossKind.DROPPED, machine.id, phrase("machine {name}", name=machine.name or machine.id), why)
    for machine in known.values():
        change.remove(change.element(machine.key))


def _top(
    change: DocumentChange,
    before: tuple[Keyed, ...],
    after: tuple[Keyed, ...],
    update: Callable[..., None],
    create: Callable[..., Element],
) -> None:
    change.sync(
        change.document.root,
        before,
        after,
        lambda element, old, new: update(change, element, old, new),
        lambda record: create(change, record),
    )


def _updater(attributes: tuple[Attribute, ...]) -> Callable[..., None]:
    return lambda change, element, old, new: change.lay(element, attributes, old, new)


def _maker(tag: str, attributes: tuple[Attribute, ...]) -> Callable[..., Element]:
    def make(change: DocumentChange, record: Keyed) -> Element:
        element = Element(tag)
        change.lay(element, attributes, None, record)
        change.identify(element, getattr(record, "id", None))
        return element

    return make
