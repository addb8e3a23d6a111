"""The planned task of a rate map in its set, with the products that it applies."""

from __future__ import annotations

from collections.abc import Sequence

from taskdata.formats.edits.unused_id import unused_id
from taskdata.isoxml.to_document.apply import DEFAULT_VERSION
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.lookup import alike, label, matching, one_of
from taskdata.model.machines import Machine, Product
from taskdata.model.tasks import Task, TaskStatus
from taskdata.rates.ground import Notes
from taskdata.rates.map_request import WantedRate
from taskdata.rates.parts import parts_for
from taskdata.rates.task_rates import Setter, TaskRates
from taskdata.results.rate_maps import MapNote

_COUNTED = {0x48: "L", 0x4B: "kg", 0x4E: "1"}
"""How amounts of a product are counted (PDT.E, ISO 11783-10 D.42)."""


def machine_of(dataset: Dataset, wanted: str | None) -> Machine | None:
    """Return the machine of a set that a caller named, None where none is named.

    Raises
    ------
    UsageError
        There is no such machine.
    """
    return None if wanted is None else one_of(dataset.machines, wanted, "machine")


def with_setters(
    dataset: Dataset, wanted: Sequence[WantedRate], machine: Machine | None, notes: Notes
) -> tuple[Dataset, tuple[Setter, ...]]:
    """Return the set with the products that are new in it, and what sets each quantity.

    Raises
    ------
    UsageError
        Several products have a name; or the machine takes no such quantity.
    """
    parts = [None] * len(wanted) if machine is None else [part.id for part in parts_for(machine, wanted)]
    products, setters = list(dataset.products), []
    for item, part in zip(wanted, parts, strict=True):
        known = None if item.product is None else _product(products, item.product, notes)
        if known is not None and all(known is not each for each in products):
            products.append(known)
        setters.append(Setter(item, known, part))
        counted = None if known is None or known.quantity_ddi is None else _COUNTED.get(known.quantity_ddi)
        if known is not None and counted not in (None, item.unit.amount):
            notes.append(
                (MapNote.COUNTED_OTHERWISE, f"The set counts {known.name} in another unit than {item.unit.name}")
            )
        if part is not None and machine is not None:
            notes.append((MapNote.PART, f"{part} of {label(machine)}"))
        stored_as = MapNote.CHOSEN_QUANTITY if item.chosen else MapNote.PLAIN_QUANTITY
        notes.append((stored_as, f"{item.entry.plain_name} (DDI {item.entry.ddi})"))
    return dataset.with_changes(products=tuple(products)), tuple(setters)


def with_task(dataset: Dataset, name: str, field: Field, rates: TaskRates) -> tuple[Dataset, Task]:
    """Return the set with a planned task for a field that holds a rate map, and the task."""
    task = Task(
        id=unused_id("TSK", {item.id for item in dataset.tasks}),
        status=TaskStatus.PLANNED,
        name=name,
        customer=field.customer,
        farm=field.farm,
        field=field.id,
        default_zone=rates.default,
        position_lost_zone=rates.lost,
        out_of_field_zone=rates.outside,
        zones=rates.zones,
        grid=rates.grid,
    )
    return dataset.with_changes(tasks=(*dataset.tasks, task)), task


def base_version(dataset: Dataset, wanted: int | None) -> int:
    """Return the version of the set that the task is laid into: its own, else the one asked for."""
    if dataset.lossless is not None and dataset.version is not None:
        return dataset.version[0]
    return wanted or DEFAULT_VERSION


def _product(products: Sequence[Product], wanted: str, notes: Notes) -> Product:
    found = matching(products, wanted)
    if found:
        return one_of(products, wanted, "product")
    near = alike(wanted, [label(item) for item in products])
    notes.append((MapNote.NEW_PRODUCT, wanted + (f"; the set has {' and '.join(near)}" if near else "")))
    return Product(unused_id("PDT", {item.id for item in products}), wanted)
