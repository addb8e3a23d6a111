"""Customers and farms that rows of fields name: those of the set, or new ones made of their names."""

from __future__ import annotations

from dataclasses import field, replace
from typing import Any

from taskdata.dataclass import dataclass
from taskdata.formats.columns import Row
from taskdata.formats.edits.diff_layer import LayerDiff, Ledger
from taskdata.formats.edits.unused_id import unused_id
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Customer, Farm, Field
from taskdata.phrases import phrase


@dataclass
class _Known:
    """The customers, or the farms, while rows are looked at."""

    tag: str
    kind: str
    records: list[Any]
    used: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.used = {record.id for record in self.records}

    def identifier(self, named: str, wanted: str | None, ledger: Ledger, element: str | None) -> str | None:
        """Return the identifier of the one of a name, made where the set has none; None where several have it."""
        here = [record.id for record in self.records if named in {record.name, record.id}]
        if len(here) > 1:
            ledger.drop(
                element,
                phrase("{kind}_name {named}", kind=self.kind, named=named),
                phrase("{count} of that name are in the set; name one by id", count=len(here)),
            )
            return None
        return here[0] if here else self._made(named, wanted)

    def _made(self, named: str, wanted: str | None) -> str:
        identifier = wanted if wanted and wanted not in self.used else unused_id(self.tag, self.used)
        self.used.add(identifier)
        kind = Customer if self.tag == "CTR" else Farm
        self.records.append(kind(id=identifier, name=named))
        return identifier


def with_owners(base: Dataset, found: LayerDiff[Field], ledger: Ledger) -> Dataset:
    """Return a set with the customers and farms that rows of fields name, and let these fields refer to them.

    A name means the one of that name; where the set has none, it is made. An identifier in the same row decides over
    the name where the set has it.

    Parameters
    ----------
    found : LayerDiff
        Of the layer of fields; records are changed in place.
    """
    customers = _Known("CTR", "customer", list(base.customers))
    farms = _Known("FRM", "farm", list(base.farms))
    for key, changes in found.changes.items():
        found.kept[key] = _owned(found.kept[key], changes.values, (customers, farms), ledger)
    found.added = [(row, _owned(record, row, (customers, farms), ledger)) for row, record in found.added]
    if len(customers.records) == len(base.customers) and len(farms.records) == len(base.farms):
        return base
    return base.with_changes(customers=tuple(customers.records), farms=tuple(farms.records))


def _owned(record: Field, values: Row, known: tuple[_Known, ...], ledger: Ledger) -> Field:
    """Return a field that refers to the customer and the farm that its row names."""
    for things in known:
        named, wanted = values.get(f"{things.kind}_name"), values.get(things.kind)
        if f"{things.kind}_name" in values and not named and not wanted and things.kind not in values:
            record = _with(record, things.kind, None)
        if not named:
            continue
        if wanted in things.used:
            if named not in {thing.name for thing in things.records if thing.id == wanted}:
                ledger.drop(
                    record.id or None,
                    phrase("{kind}_name {named}", kind=things.kind, named=named),
                    phrase("the identifier {wanted} takes precedence", wanted=wanted),
                )
            continue
        identifier = things.identifier(named, wanted, ledger, record.id or None)
        if identifier is not None:
            record = _with(record, things.kind, identifier)
    return record


def _with(record: Field, kind: str, identifier: str | None) -> Field:
    return replace(record, customer=identifier) if kind == "customer" else replace(record, farm=identifier)
