"""Whose a field or task is, where it says so itself or another record says so for it."""

from __future__ import annotations

from taskdata.model.dataset import Dataset
from taskdata.model.fields import Field
from taskdata.model.tasks import Task


class Owners:
    """The owners of the fields and tasks of one set.

    Parameters
    ----------
    dataset : Dataset
        The set.
    """

    def __init__(self, dataset: Dataset) -> None:
        self._farms = {item.id: item.customer for item in reversed(dataset.farms)}
        self._fields = {item.id: item for item in reversed(dataset.fields)}

    def customer(self, item: Field | Task) -> str | None:
        """Return the customer that a record names, else that of its farm, else that of its field or whole field."""
        for record in self._chain(item):
            owner = record.customer or self._farms.get(record.farm or "")
            if owner:
                return owner
        return None

    def farm(self, item: Field | Task) -> str | None:
        """Return the farm that a record names, else that of its field, else that of the field that this is a part of.

        A record that names another customer than its field is not of the field's farm.
        """
        owner = self.customer(item)
        for record in self._chain(item):
            if record.farm:
                return record.farm
            if record.customer and record.customer != owner:
                return None
        return None

    def _chain(self, item: Field | Task) -> list[Field | Task]:
        """Return a record, its field, and the fields that this is a part of."""
        chain, seen = [item], {id(item)}
        above = item.field if isinstance(item, Task) else item.parent
        while (found := self._fields.get(above or "")) is not None and id(found) not in seen:
            seen.add(id(found))
            chain.append(found)
            above = found.parent
        return chain
