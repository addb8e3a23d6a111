"""The parts of a machine as a tree: what is above and below a part (DET.F)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from taskdata.model.machines import Machine, Part, PartKind, Quantity


class Tree:
    """A machine whose parts know each other; a circle among parents ends where it closes."""

    def __init__(self, machine: Machine) -> None:
        self.machine = machine
        self._by_object = {part.object_id: part for part in reversed(machine.parts)}
        self._by_id = {part.id: part for part in reversed(machine.parts)}

    def part(self, identifier: str | None) -> Part | None:
        """Return the part of that identifier, None where there is none."""
        return self._by_id.get(identifier or "")

    def upwards(self, part: Part) -> Iterator[Part]:
        """Yield a part and what is above it, nearest first."""
        seen: set[int] = set()
        found: Part | None = part
        while found is not None and found.object_id not in seen:
            seen.add(found.object_id)
            yield found
            found = self._by_object.get(found.parent)

    def sections_below(self, part: Part) -> tuple[Part, ...]:
        """Return the sections at or below a part, in the order of the source."""
        return tuple(item for item in self.machine.sections if part in self._lines[item.id])

    @cached_property
    def _lines(self) -> dict[str, tuple[Part, ...]]:
        return {part.id: tuple(self.upwards(part)) for part in self.machine.sections}

    @property
    def root(self) -> Part | None:
        """The device itself, None where it is not described."""
        return next((part for part in self.machine.parts if part.kind is PartKind.DEVICE), None)


def constant(part: Part, ddi: int) -> int | None:
    """Return the raw constant that a part gives, None where it gives none."""
    found = _quantity(part, ddi)
    return None if found is None else found.value


def _quantity(part: Part, ddi: int) -> Quantity | None:
    return next((item for item in part.quantities if item.ddi == ddi and item.value is not None), None)
