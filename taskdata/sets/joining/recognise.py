"""Find out which elements of several sources are one thing."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence

from taskdata.isoxml.tree.element import Element
from taskdata.progress import each
from taskdata.results.merging import How
from taskdata.sets.alike_outlines import join_alike
from taskdata.sets.joining.agreeing import Member
from taskdata.sets.joining.contents import Contents
from taskdata.sets.joining.same_work import ALLOCATIONS
from taskdata.sets.joining.sources import RankedSource
from taskdata.sets.joining.steps import Step, Steps, common_name
from taskdata.sets.joining.things import MergedEntities, MergedEntity

CONTAINERS = {"CCT", "CPC", "CTP", "DVC", "DET", "PFD", "GGP", "TSK", *ALLOCATIONS}
"""What is united child by child; anything else is taken whole from one source."""

_ORDER = [
    "AFE",
    "CCG",
    "CCT",
    "CLD",
    "VPN",
    "PGP",
    "PDT",
    "CTP",
    "CTR",
    "FRM",
    "WKR",
    "BSN",
    "OTQ",
    "CPC",
    "DVC",
    "PFD",
    "TSK",
]
"""What others refer to comes first, so that references can be compared by the thing they mean."""


def recognise(sources: list[RankedSource]) -> tuple[MergedEntities, Contents]:
    """Find the things that several sources hold."""
    recogniser = _Recogniser(sources)
    recogniser.run()
    return recogniser.things, recogniser.contents


class _Recogniser:
    """One run over all sources."""

    def __init__(self, sources: list[RankedSource]) -> None:
        self.sources = sources
        self.things = MergedEntities(sources)
        self.contents = Contents(sources, self.things)
        self.steps = Steps(sources, self.contents)

    def run(self) -> None:
        """Look at everything, top-level elements first."""
        tops = [[node for node in source.top() if isinstance(node, Element)] for source in self.sources]
        tags = dict.fromkeys([*_ORDER, *(item.tag for top in tops for item in top)])
        for tag in each(list(tags), "Looking for equal things", "kinds"):
            groups = [[item for item in top if item.tag == tag] for top in tops]
            things: list[MergedEntity] = []
            for ready in self._rounds(groups, tag):
                again = things if tag == "PFD" else []  # a part of a field may be a field by itself in another source
                found = self._matched(ready, tag, None, by_order=False, again=again)
                things = found if again else [*things, *found]
            for thing in each(things, "Looking into what is equal", "elements"):
                self._children(thing, tag)

    def _rounds(self, groups: list[list[Element]], tag: str) -> Iterator[list[Member]]:
        """Yield siblings of one tag so that those that refer to other siblings come after these."""
        waiting = [(index, item) for index, group in enumerate(groups) for item in group]
        there = {item for _, item in waiting}
        while waiting:
            ready = [member for member in waiting if there.isdisjoint(self._targets(*member, tag))]
            ready = ready or waiting
            yield ready
            gone = {item for _, item in ready}
            there -= gone
            waiting = [member for member in waiting if member[1] not in gone]

    def _targets(self, index: int, element: Element, tag: str) -> Iterator[Element]:
        """Yield the elements of ``tag`` that an element or a child of it refers to."""
        for item in (element, *element.elements()):
            for fact, text in item.references():
                target = self.sources[index].target(text) if fact.refers_to == tag else None
                if target is not None and target is not element:
                    yield target

    def _matched(
        self,
        members: list[Member],
        tag: str,
        parent: str | None,
        *,
        by_order: bool,
        again: Sequence[MergedEntity] = (),
    ) -> list[MergedEntity]:
        """Return the things that siblings are, together with those that are compared ``again``."""
        things = [*again, *(self.things.add(*member) for member in members)]
        if len({index for thing in things for index in thing.members}) > 1:
            for step in self.steps.of(tag, parent, by_order=by_order):
                things = self._step(things, step)
            if tag == "PFD":
                things = self._fields(things)
        self.things.settle(things)
        return things

    def _children(self, thing: MergedEntity, tag: str) -> None:
        if not thing.shared:
            return
        tags = dict.fromkeys(child.tag for element in thing.members.values() for child in element.elements())
        for child_tag in tags:
            members = [
                (index, item) for index, element in thing.members.items() for item in element.elements(child_tag)
            ]
            for child in self._matched(members, child_tag, tag, by_order=tag not in CONTAINERS):
                self._children(child, child_tag)

    def _step(self, things: list[MergedEntity], step: Step) -> list[MergedEntity]:
        """Join what has a key in common; of several with one key in a source each finds one of the other source."""
        buckets: dict[Hashable, list[MergedEntity]] = {}
        for thing in things:
            keys = {key: None for member in thing.members.items() for key in step.keys(*member)}
            for key in keys:
                if key is not None:
                    buckets.setdefault(key, []).append(thing)
        gone: set[MergedEntity] = set()
        for bucket in buckets.values():
            kept: list[MergedEntity] = []
            for thing in bucket:
                if thing not in gone and not self._joined(kept, thing, step, gone):
                    kept.append(thing)
        return [thing for thing in things if thing not in gone]

    def _joined(self, kept: list[MergedEntity], thing: MergedEntity, step: Step, gone: set[MergedEntity]) -> bool:
        for one in kept:
            if one not in gone and self.things.may_join(one, thing) and _passes(step, one, thing):
                self.things.join(one, thing, step.how)
                gone.add(thing)
                return True
        return False

    def _fields(self, things: list[MergedEntity]) -> list[MergedEntity]:
        """Join fields on common ground, those that lie most alike first; then those without outline by their name."""
        outlines = [
            (thing, index, self.sources[index].side.outlines[item])
            for thing in things
            for index, item in thing.members.items()
            if item in self.sources[index].side.outlines
        ]
        gone: set[MergedEntity] = set()

        def thing_at(at: int) -> MergedEntity:
            thing, index, _ = outlines[at]
            return self.things.of[thing.members[index]]

        def join(one: int, two: int) -> bool:
            left, right = thing_at(one), thing_at(two)
            if not self.things.may_join(left, right):
                return False
            self.things.join(left, right, How.GROUND)
            gone.add(right)
            return True

        join_alike(
            [shape for _, _, shape in outlines],
            [common_name(thing.members[index]) for thing, index, _ in outlines],
            lambda at: sum(1 << index for index in thing_at(at).members),
            join,
        )
        left_over = [thing for thing in things if thing not in gone]
        return self._step(left_over, Step(How.NAME, self._bare, self._agreeing))

    def _bare(self, index: int, item: Element) -> list[Hashable]:
        name = common_name(item)
        return [(item.id, name)] if name else []

    def _agreeing(self, one: Member, two: Member) -> bool:
        """Tell whether two fields of one number and name may be one: of one owner, and not both with an outline.

        Two outlines of one field would have met.
        """
        outlined = [item in self.sources[index].side.outlines for index, item in (one, two)]
        return not all(outlined) and self.steps.agree(one, two)


def _passes(step: Step, one: MergedEntity, two: MergedEntity) -> bool:
    test = step.test
    if test is None:
        return True
    return all(test(left, right) for left in one.members.items() for right in two.members.items())
