"""Everything in a data set that has a name which people read and choose by."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.dataclass import dataclass
from taskdata.findings import Place

LONGEST = 32
"""Characters that fit in a name (ISO 11783-10, Annex D)."""


@dataclass(frozen=True, slots=True)
class Named:
    """A thing with a name.

    ``group`` is what it is chosen from: its kind, for fields and lines also the farm or field it belongs to. ``parts``
    are the texts as stored, of people the last name and the first.
    """

    group: tuple[str, str | None]
    parts: tuple[str, ...]
    id: str
    place: Place

    @property
    def text(self) -> str:
        """The name as shown."""
        return " ".join(self.parts)


def named(subject: Subject) -> Iterator[Named]:
    """Yield everything with a name that is not empty."""
    return (item for item in _all(subject) if item.text.strip())


def _all(subject: Subject) -> Iterator[Named]:
    data = subject.dataset
    for field in data.fields:
        yield Named(("field", field.farm or field.customer), (field.name,), field.id, field.place)
        for line in (*field.guidance, *field.line_guidance):
            yield Named(("line", field.id), (line.name or "",), line.id or field.id, line.place)
    for customer in data.customers:
        yield Named(("customer", None), _full(customer.name, customer.first_name), customer.id, customer.place)
    for worker in data.workers:
        yield Named(("worker", None), _full(worker.name, worker.first_name), worker.id, worker.place)
    for farm in data.farms:
        yield Named(("farm", farm.customer), (farm.name,), farm.id, farm.place)
    for product in data.products:
        yield Named(("product", None), (product.name,), product.id, product.place)
    for machine in data.machines:
        yield Named(("machine", None), (machine.name or "",), machine.id, machine.place)
    for task in data.tasks:
        yield Named(("task", None), (task.name or "",), task.id, task.place)


def _full(name: str, first_name: str | None) -> tuple[str, ...]:
    return (name, first_name) if first_name else (name,)
