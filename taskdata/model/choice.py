"""Which part of a set is meant: fields, tasks, owners, dates, and what of it is left out; and what that gave."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from datetime import date
from types import MappingProxyType
from typing import TypedDict

from taskdata.arguments import one_or_several
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.model.lookup import nearest
from taskdata.records import short_repr

LEAVABLE = (
    "areas",
    "attachments",
    "comments",
    "crops",
    "customers",
    "farms",
    "fields",
    "grids",
    "guidance",
    "lines",
    "links",
    "logs",
    "machines",
    "points",
    "products",
    "tasks",
    "times",
    "workers",
    "zones",
)
"""Kinds of things that can be left out."""


class Only(TypedDict, total=False):
    """The arguments that choose a part of a set; `taskdata.Dataset.only` explains them."""

    fields: str | Iterable[str]
    tasks: str | Iterable[str]
    customers: str | Iterable[str]
    farms: str | Iterable[str]
    since: str | date | None
    until: str | date | None
    leave: str | Iterable[str]
    leave_out: str | Iterable[str]


@short_repr
@dataclass(frozen=True, slots=True)
class Choice:
    """A part of a set; make it with ``Choice.of``.

    Several names of one kind widen the choice, different kinds narrow it: two fields are both fields, a field and a
    customer are that field if it is the customer's. Without names, dates choose tasks alone, and every field stays.

    Parameters
    ----------
    fields, tasks, customers, farms : tuple of str
        Identifiers or names. A field brings its tasks, a customer or farm its fields and tasks; parts of a field are
        named by themselves.
    since, until : date or None
        First and last day on which a task may begin.
    leave : tuple of str
        Kinds of things that are left out, see ``LEAVABLE``.
    leave_out : tuple of str
        Identifiers of things that are left out.
    """

    fields: tuple[str, ...] = ()
    tasks: tuple[str, ...] = ()
    customers: tuple[str, ...] = ()
    farms: tuple[str, ...] = ()
    since: date | None = None
    until: date | None = None
    leave: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()

    @classmethod
    def of(
        cls,
        *,
        fields: str | Iterable[str] = (),
        tasks: str | Iterable[str] = (),
        customers: str | Iterable[str] = (),
        farms: str | Iterable[str] = (),
        since: str | date | None = None,
        until: str | date | None = None,
        leave: str | Iterable[str] = (),
        leave_out: str | Iterable[str] = (),
    ) -> Choice:
        """Return a choice of one name or several of each kind, and of dates as texts such as ``2024-04-18``.

        Raises
        ------
        UsageError
            A name is empty, a date is none, the last day is before the first, or there is no such kind to leave out.
        """
        first, last = _day(since, "since"), _day(until, "until")
        if first is not None and last is not None and last < first:
            raise UsageError(
                f"the last day {last} is before the first, {first}", remedy="Exchange [[since]], [[until]]"
            )
        kinds = one_or_several(leave)
        for kind in kinds:
            if kind not in LEAVABLE:
                what = "there is no such kind of things to leave out"
                raise UsageError(what, where=str(kind), remedy=nearest(str(kind), LEAVABLE))
        return cls(
            fields=_names(fields),
            tasks=_names(tasks),
            customers=_names(customers),
            farms=_names(farms),
            since=first,
            until=last,
            leave=kinds,
            leave_out=_names(leave_out),
        )

    def __bool__(self) -> bool:
        """Tell whether anything is chosen or left out at all."""
        return self.names_something or bool(self.dated or self.leave or self.leave_out)

    @property
    def names_something(self) -> bool:
        """Whether fields, tasks or owners are named: what they do not need stays behind."""
        return bool(self.fields or self.tasks or self.customers or self.farms)

    @property
    def dated(self) -> bool:
        """Whether tasks are chosen by their dates."""
        return self.since is not None or self.until is not None

    def holds(self, day: date) -> bool:
        """Tell whether a task that begins on a day is meant."""
        return (self.since is None or self.since <= day) and (self.until is None or day <= self.until)


@short_repr
@dataclass(frozen=True, slots=True)
class Chosen:
    """What a choice left behind, and what to know of it.

    Parameters
    ----------
    left : mapping of str to int
        How many things of each kind stayed behind; ``files`` are those of the set, ``other_elements`` what has no
        kind of its own, ``remarks`` comments and texts of XML files that stand outside the things themselves.
    notes : tuple of str
        Sentences: what goes along though nobody named it, what could not be told.
    """

    left: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    notes: tuple[str, ...] = ()

    @classmethod
    def together(cls, parts: Iterable[Chosen | None]) -> Chosen | None:
        """Return what choosing from several sets gave, None where nothing was chosen."""
        given = [part for part in parts if part is not None]
        kinds = dict.fromkeys(kind for part in given for kind in part.left)
        left = {kind: sum(part.left.get(kind, 0) for part in given) for kind in kinds}
        return cls(left, tuple(dict.fromkeys(note for part in given for note in part.notes))) if given else None


def _names(given: str | Iterable[str]) -> tuple[str, ...]:
    names = one_or_several(given)
    for name in names:
        if not isinstance(name, str) or not name.strip():
            raise UsageError("a record is chosen by its identifier or name, a text", where=repr(name)[:60])
    return names


def _day(given: str | date | None, argument: str) -> date | None:
    if given is None or isinstance(given, date):
        return given if given is None else date(given.year, given.month, given.day)
    try:
        return date.fromisoformat(given.strip())
    except (ValueError, AttributeError) as error:
        remedy = f"Write year, month and day, such as [[{argument}=2024-04-18]]"
        raise UsageError("is not a date", where=str(given), remedy=remedy) from error
