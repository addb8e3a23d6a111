"""Which stick takes what: each unit, in the order of the set, goes onto the first stick that has room for it."""

from __future__ import annotations

from taskdata.adapt.adaptation import label
from taskdata.adapt.leavable import leavable, leave_some
from taskdata.adapt.parts.belonging import Belonging, Members
from taskdata.adapt.sticks.weights import Weight, Weights, added, excess
from taskdata.dataclass import dataclass
from taskdata.errors import TargetError
from taskdata.isoxml.tree.element import Element
from taskdata.model.receiver import Receiver


@dataclass(frozen=True, eq=False)
class Unit:
    """What stays together: a field with its tasks, a task without a field, or any other thing.

    Parameters
    ----------
    head : Element
        What it is named by.
    members : frozenset of Element
        Everything it needs.
    parts : tuple of Unit
        What it may be split into where it is too much for any stick; the field stands in each.
    """

    head: Element
    members: Members
    parts: tuple[Unit, ...] = ()


@dataclass(eq=False)
class Load:
    """What one stick takes, and what that counts."""

    members: set[Element]
    weight: Weight


class Packing:
    """Fills sticks.

    Parameters
    ----------
    belonging : Belonging
        The set.
    receiver : Receiver
        What the terminal takes.
    """

    def __init__(self, belonging: Belonging, receiver: Receiver) -> None:
        self.belonging = belonging
        self.receiver = receiver
        self.weights = Weights(belonging, receiver)
        self.loads: list[Load] = []

    def pack(self) -> list[Load]:
        """Return the sticks: fields with their tasks, tasks without a field, then all else wherever there is room.

        Raises
        ------
        TargetError
            Something does not even fit alone.
        """
        for unit in self._units():
            self._put(unit)
        carriers = self.belonging.carriers()
        for thing in self.belonging.things:
            if thing.tag not in {"PFD", "TSK"} and thing not in carriers:
                self._spread(Unit(thing, self.belonging.closure([thing])))
        return self.loads

    def _units(self) -> list[Unit]:
        closure, tasks = self.belonging.closure, self.belonging.tasks_by_field()
        units = []
        for head in self.belonging.document.top("PFD"):
            own = tasks.get(head, [])
            parts = tuple(Unit(task, closure([head, task])) for task in own)
            units.append(Unit(head, closure([head, *own]), parts))
        return [*units, *(Unit(task, closure([task])) for task in tasks.get(None, []))]

    def _put(self, unit: Unit) -> None:
        if any(self._add(load, unit.members) for load in self.loads):
            return
        fresh = Load(set(), self.weights.base)
        if self._add(fresh, unit.members):
            self.loads.append(fresh)
            return
        self._refuse_alone(unit)
        for part in unit.parts:
            self._put(part)

    def _spread(self, unit: Unit) -> None:
        """Put something onto every stick that has room for it: it may be wanted there, as workers to choose from."""
        if not [load for load in self.loads if self._add(load, unit.members)]:
            self._put(unit)

    def _add(self, load: Load, members: Members) -> bool:
        weight = added(load.weight, self.weights.of(members - load.members))
        if not self.weights.fits(weight):
            return False
        load.members |= members
        load.weight = weight
        return True

    def _refuse_alone(self, unit: Unit) -> None:
        """Refuse a unit that parting does not help: what it is named by exceeds a limit by itself."""
        members = self.belonging.closure([unit.head]) if unit.parts else unit.members
        beyond = excess(self.receiver, added(self.weights.base, self.weights.of(members)))
        if beyond:
            told = f"{unit.head.nearest_id() or unit.head.tag}, {label(unit.head)}"
            raise TargetError(
                f"{self.receiver.name} does not accept {told}, even on a stick of its own with what it refers to",
                why="; ".join(beyond),
                remedy=self._remedy(unit),
            )

    def _remedy(self, unit: Unit) -> str:
        """Return what can be left out of a unit: its guidance lines if those are too many, else its head."""
        limit, count = self.receiver.get("limits.guidance_lines"), self.weights.lines_in(unit.head)
        if limit is None or count <= limit:
            return leave_some([leavable(unit.head)])
        lines = [item.id for item in unit.head.walk() if item.tag == "GPN"]
        return leave_some(lines or [leavable(unit.head)]) + ("" if lines else ", or all lines: [[leave=guidance]]")
