"""Which customers, farms, fields and tasks of a set a choice means, by identifier or name."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import field
from typing import TypeVar

from taskdata.adapt.choosing.beginnings import beginning
from taskdata.adapt.choosing.owners import Owners
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.model.choice import Choice
from taskdata.model.dataset import Dataset
from taskdata.model.fields import Customer, Farm, Field
from taskdata.model.lookup import Named, label, matching, nearest
from taskdata.model.tasks import Task

Record = TypeVar("Record", bound=Named)
_SHOWN = 8


@dataclass(frozen=True, slots=True)
class Missing:
    """A name that fits nothing: its kind, as given, what there is instead, and what has it but is not meant."""

    kind: str
    wanted: str
    labels: tuple[str, ...]
    outside: str | None = None

    def is_among(self, others: Iterable[Missing]) -> bool:
        """Tell whether a name of this kind is among some that fit nothing."""
        return any((item.kind, item.wanted) == (self.kind, self.wanted) for item in others)


@dataclass(eq=False)
class Picks:
    """What a choice means in one set.

    Parameters
    ----------
    customers, farms, fields, tasks : list of record
        What is chosen, without what that needs; where nothing is named, all tasks that the dates choose.
    owners : list of Customer or Farm
        Who is named as an owner, beside which nobody else's things may go along.
    missing : list of Missing
        Names that fit nothing.
    notes : list of str
        What to know of it, as sentences.
    """

    customers: list[Customer] = field(default_factory=list)
    farms: list[Farm] = field(default_factory=list)
    fields: list[Field] = field(default_factory=list)
    tasks: list[Task] = field(default_factory=list)
    owners: list[Customer | Farm] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def pick(dataset: Dataset, choice: Choice) -> Picks:
    """Return what of a set is chosen.

    Raises
    ------
    UsageError
        Several records have a name, and none of them its identifier.
    """
    picks, owners = Picks(), Owners(dataset)
    names = _Names(picks.missing)
    customers = names.found(dataset.customers, choice.customers, "customer", lambda item: True)
    of_customers = {item.id for item in customers}
    farms = names.found(
        dataset.farms, choice.farms, "farm", lambda item: not choice.customers or item.customer in of_customers
    )
    of_farms = {item.id for item in farms}
    picks.owners = [*customers, *farms]
    if not choice.fields and not choice.tasks:
        picks.customers = customers
        picks.farms = farms if choice.farms else [item for item in dataset.farms if item.customer in of_customers]

    def meant(item: Field | Task) -> bool:
        """Tell whether an owner that is named, where one is, has a field or task."""
        of_customer = not choice.customers or owners.customer(item) in of_customers
        return of_customer and (not choice.farms or owners.farm(item) in of_farms)

    if choice.fields:
        picks.fields = names.found(dataset.fields, choice.fields, "field", meant)
        picks.notes += _parts(dataset, picks.fields)
    elif (choice.customers or choice.farms) and not choice.tasks:
        picks.fields = [item for item in dataset.fields if meant(item)]
        picks.notes += _unowned(dataset, owners, choice)
    within = {item.id for item in picks.fields}
    in_field = [item for item in dataset.tasks if not choice.fields or item.field in within]
    tasks = [item for item in in_field if meant(item)]
    if choice.tasks:
        known = set(map(id, tasks))
        tasks = names.found(dataset.tasks, choice.tasks, "task", lambda item: id(item) in known)
    picks.tasks = list(_dated(tasks, choice, picks.notes))
    return picks


class _Names:
    """Finds records by name, and notes the names that fit none."""

    def __init__(self, missing: list[Missing]) -> None:
        self.missing = missing

    def found(
        self, records: Sequence[Record], names: Iterable[str], kind: str, meant: Callable[[Record], bool]
    ) -> list[Record]:
        """Return the records that have one of the names, each once, among those that are meant."""
        found: dict[int, Record] = {}
        for name in names:
            among = [item for item in records if meant(item)]
            fitting = _matching(among, name)
            if len({item.id for item in fitting}) > 1:
                choices = ", ".join(map(label, fitting))
                remedy = f"Choose one by its identifier: {choices}"
                raise UsageError(f"names several {kind}s", where=name, remedy=remedy)
            if not fitting:
                others = _matching(records, name)
                outside = label(others[0]) if others else None
                self.missing.append(Missing(kind, name, tuple(map(label, among)), outside))
            found |= {id(item): item for item in fitting}
        return list(found.values())


@dataclass(frozen=True, slots=True)
class _Person:
    """A record by its full name, as people write it."""

    record: Named
    id: str | None
    name: str | None


def _matching(records: Sequence[Record], wanted: str) -> list[Record]:
    """Return the records of an identifier or name; of people the first name may stand before or after the last."""
    found = matching(records, wanted)
    if found:
        return found
    full = [
        (item, f"{one} {other}")
        for item in records
        if (first := getattr(item, "first_name", None)) and item.name
        for one, other in ((first, item.name), (item.name, first), (f"{item.name},", first))
    ]
    people = [_Person(item, None, name) for item, name in full]
    keys = {id(person.record) for person in matching(people, wanted)}
    return [item for item in records if id(item) in keys]


def _unowned(dataset: Dataset, owners: Owners, choice: Choice) -> Iterator[str]:
    """Say which fields and tasks have no known owner of a kind that is named: whose they are cannot be told."""
    records: tuple[Field | Task, ...] = (*dataset.fields, *dataset.tasks)
    for kind, named, owner in (("customer", choice.customers, owners.customer), ("farm", choice.farms, owners.farm)):
        unknown = [item for item in records if owner(item) is None] if named else []
        if unknown:
            yield f"Fields and tasks without a known {kind} stay behind: {listed(map(label, unknown))}."


def _parts(dataset: Dataset, named: Sequence[Field]) -> Iterator[str]:
    """Say which parts of the named fields, each a field of its own, were not named."""
    known = {item.id for item in named}
    parts = [item for item in dataset.fields if item.parent in known and item.id not in known]
    if parts:
        yield f"Parts of the chosen fields that were not named stay behind: {listed(map(label, parts))}."


def _dated(tasks: Sequence[Task], choice: Choice, notes: list[str]) -> Iterator[Task]:
    """Yield the tasks that begin on one of the days; those without a time are left and told."""
    unknown = []
    for task in tasks:
        day = beginning(task) if choice.dated else None
        if not choice.dated or (day is not None and choice.holds(day)):
            yield task
        elif day is None:
            unknown.append(label(task))
    if unknown:
        notes.append(f"Tasks without a time stay behind, since it is not known when they began: {listed(unknown)}.")


def listed(texts: Iterable[str]) -> str:
    """Return the first of some texts, and how many more there are."""
    every = list(texts)
    rest = f" and {len(every) - _SHOWN} more" if len(every) > _SHOWN else ""
    return ", ".join(every[:_SHOWN]) + rest


def refuse(missing: Sequence[Missing]) -> None:
    """Refuse the first of some names that fit nothing, wherever they were looked for.

    Raises
    ------
    UsageError
        There is one.
    """
    if not missing:
        return
    kind, wanted = missing[0].kind, missing[0].wanted
    from_all = [item for item in missing if item.is_among(missing[:1])]
    outside = next((item.outside for item in from_all if item.outside is not None), None)
    if outside is not None:
        what = f"{outside} is not a {kind} of what else was chosen"
        raise UsageError(what, where=wanted, remedy="Different kinds of names narrow the choice: leave one of them out")
    labels = [text for item in from_all for text in item.labels]
    raise UsageError(f"there is no such {kind}", where=wanted, remedy=nearest(wanted, labels))
