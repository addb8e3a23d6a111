"""What stands in the sources: one thing, whether one source holds it or several."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from taskdata.dataclass import dataclass
from taskdata.isoxml.tree.element import Element
from taskdata.results.merging import How
from taskdata.sets.joining.sources import RankedSource


@dataclass(eq=False)
class MergedEntity:
    """One thing.

    Parameters
    ----------
    members : dict of int to Element
        The element that stands for it, by index of the source.
    how : How or None
        By what it was recognised in several sources; of several steps the least sure.
    settled : bool
        Whether the search for further members is over.
    marks : frozenset of tuple of str
        What a thing has one of: a UUID, and as a device a label of its structure; each with the name of its kind.
    """

    members: dict[int, Element]
    how: How | None = None
    settled: bool = False
    marks: frozenset[tuple[str, str]] = frozenset()

    @property
    def shared(self) -> bool:
        """Tell whether several sources hold it."""
        return len(self.members) > 1


class MergedEntities:
    """All things that have been looked at, by element."""

    def __init__(self, sources: list[RankedSource]) -> None:
        self.sources = sources
        self.of: dict[Element, MergedEntity] = {}

    def add(self, index: int, element: Element) -> MergedEntity:
        """Enter an element as a thing of its own."""
        thing = self.of[element] = MergedEntity({index: element}, marks=frozenset(self._marks(index, element)))
        return thing

    def settle(self, things: Iterable[MergedEntity]) -> None:
        """Close the search for further members; what stands in a thing of one source is settled with it."""
        for thing in things:
            thing.settled = True
            if not thing.shared:
                ((index, element),) = thing.members.items()
                for item in element.walk():
                    if item is not element and item.id is not None:
                        self.add(index, item).settled = True

    def may_join(self, one: MergedEntity, two: MergedEntity) -> bool:
        """Tell whether two things may be one.

        No source holds both, they bear no two different UUIDs, and as devices no two different labels of their
        structure: parts of two structures make none.
        """
        if one is two or not one.members.keys().isdisjoint(two.members):
            return False
        marks = one.marks | two.marks
        return len(marks) < 2 or len(marks) == len({kind for kind, _ in marks})

    def join(self, one: MergedEntity, two: MergedEntity, how: How) -> None:
        """Make two things one; ``one`` is the one that stays."""
        ways = [item for item in (one.how, two.how, how) if item is not None]
        one.how = max(ways, key=list(How).index)
        one.marks |= two.marks
        in_order = next(reversed(one.members)) < next(iter(two.members))  # as mostly: sorting would take n² in all
        one.members |= two.members
        if not in_order:
            one.members = dict(sorted(one.members.items()))
        for element in two.members.values():
            self.of[element] = one

    def token(self, index: int, identifier: str) -> str:
        """Return what a reference of a source means: the same text for the same thing, whatever its number."""
        target = self.sources[index].target(identifier)
        thing = None if target is None else self.of.get(target)
        return identifier if thing is None or not thing.settled else f"#{id(thing)}"

    def _marks(self, index: int, element: Element) -> Iterator[tuple[str, str]]:
        uuid = self.sources[index].uuids.get(element.id or "")
        if uuid is not None:
            yield "uuid", uuid
        label = element.get("DeviceStructureLabel") if element.tag == "DVC" else None
        if label is not None:
            yield "structure", label.upper()
